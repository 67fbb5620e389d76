-- What SQLite says in its own words: bytes, and the triggers that keep the log append-only.

-- What was printed for the customer, as printed.
CREATE TABLE proof (
    job           TEXT   NOT NULL,
    number        BIGINT NOT NULL CHECK (number >= 1),
    seq           BIGINT NOT NULL,
    printed_ms    BIGINT NOT NULL,
    mime          TEXT   NOT NULL,
    model_version TEXT   NOT NULL,
    digest        TEXT   NOT NULL,
    bytes         BLOB   NOT NULL,
    PRIMARY KEY (job, number),
    FOREIGN KEY (job, seq) REFERENCES entry (job, seq)
);

CREATE TRIGGER entry_not_changed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;

CREATE TRIGGER entry_not_removed BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never removed'); END;

-- INSERT OR REPLACE removes the old row without asking the trigger above, so order is checked here as well.
CREATE TRIGGER entry_in_order BEFORE INSERT ON entry
WHEN NEW.seq <> (SELECT COALESCE(MAX(seq), 0) + 1 FROM entry WHERE job = NEW.job)
BEGIN SELECT RAISE(ABORT, 'an entry only follows the last one'); END;

CREATE TRIGGER proof_not_changed BEFORE UPDATE ON proof
BEGIN SELECT RAISE(ABORT, 'a proof is never changed'); END;

CREATE TRIGGER proof_not_removed BEFORE DELETE ON proof
BEGIN SELECT RAISE(ABORT, 'a proof is never removed'); END;

CREATE TRIGGER proof_in_order BEFORE INSERT ON proof
WHEN NEW.number <> (SELECT COALESCE(MAX(number), 0) + 1 FROM proof WHERE job = NEW.job)
BEGIN SELECT RAISE(ABORT, 'a proof only follows the last one'); END;
