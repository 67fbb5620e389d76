-- One row for each command that wrote, numbered without gaps. chain is a hash over the row and the chain before it, so a row
-- says what stood before; jobs counts the jobs so far. The witness beside the file holds the number and chain of the last one.
CREATE TABLE journal (
    n        BIGINT NOT NULL PRIMARY KEY CHECK (n >= 1),
    job      TEXT   NOT NULL,
    last_seq BIGINT NOT NULL,
    jobs     BIGINT NOT NULL,
    chain    TEXT   NOT NULL
);
