-- code_words: the words of the codes by which SQL and Go tell why something is set aside.
-- grain:   one row per code
-- reads:   -
-- units:   -
-- empty:   remedy where the reason says it all
-- Reason and remedy have the places {column}, {wanted} and {found}; the public ones have none for
-- what was found in a delivery.
create or replace table code_words (
    code varchar not null,
    reason varchar not null,
    remedy varchar,
    public_reason varchar not null,
    public_remedy varchar
);
