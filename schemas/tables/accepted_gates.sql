-- accepted_gates: what held a release up and was accepted by a person, with the reason given.
-- grain:   one row per accepted_at, hash
-- reads:   -
-- units:   accepted_at instant; amount, third_amount in unit, other_amount in other_unit; share_pct
--          percent
-- empty:   the table, while nothing was accepted; what the line of archive/accepted.jsonl does not
--          say: one of a version before 3 has no code
-- formula: -
create or replace table accepted_gates (
    accepted_at timestamptz not null,
    reason varchar not null,
    hash varchar not null,
    kind varchar not null,
    subject varchar,
    found varchar,
    remedy varchar,
    finding_code varchar,
    amount double,
    unit varchar,
    other_amount double,
    other_unit varchar,
    third_amount double,
    share_pct double,
    name varchar,
    other_name varchar,
    from_at timestamptz,
    to_at timestamptz,
    other_from_at timestamptz,
    other_to_at timestamptz
);
