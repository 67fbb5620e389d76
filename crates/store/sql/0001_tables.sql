-- The log and what is made from it. Only types and clauses that SQLite and PostgreSQL share.

-- The truth: one row an entry, never changed.
CREATE TABLE entry (
    job         TEXT   NOT NULL,
    seq         BIGINT NOT NULL CHECK (seq >= 1),
    format      BIGINT NOT NULL,
    at_ms       BIGINT NOT NULL,
    recorded_ms BIGINT NOT NULL,
    written_by  TEXT   NOT NULL,
    kind        TEXT   NOT NULL,
    body        TEXT   NOT NULL,
    command     TEXT   NOT NULL,
    prev        TEXT   NOT NULL,
    hash        TEXT   NOT NULL,
    PRIMARY KEY (job, seq)
);

-- What each command was answered the first time. first_seq and last_seq are 0 for a command that wrote no entry;
-- answer is NULL where the row was restored from the log and the text is lost.
CREATE TABLE answer (
    job       TEXT   NOT NULL,
    command   TEXT   NOT NULL,
    first_seq BIGINT NOT NULL,
    last_seq  BIGINT NOT NULL,
    answer    TEXT,
    PRIMARY KEY (job, command)
);

-- The projection: one row a job, rebuilt from the log at any time.
CREATE TABLE floor (
    job        TEXT    NOT NULL PRIMARY KEY,
    seq        BIGINT  NOT NULL,
    title      TEXT    NOT NULL,
    vehicle    TEXT    NOT NULL,
    stage      TEXT    NOT NULL,
    waits_for  TEXT    NOT NULL,
    closed     BOOLEAN NOT NULL,
    updated_ms BIGINT  NOT NULL,
    summary    TEXT    NOT NULL
);

-- Small things that belong to no job, such as the name of the workshop.
CREATE TABLE document (
    kind TEXT NOT NULL,
    id   TEXT NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (kind, id)
);
