-- accepted_gates: what held a release up and was accepted by a person, with the reason given.
-- grain:   one row per accepted_at, hash
-- reads:   -
-- units:   accepted_at instant
-- empty:   the table, while nothing was accepted; subject, found and remedy where the line of
--          archive/accepted.jsonl does not say
-- formula: -
create or replace table accepted_gates (
    accepted_at timestamptz not null,
    reason varchar not null,
    hash varchar not null,
    kind varchar not null,
    subject varchar,
    found varchar,
    remedy varchar
);
