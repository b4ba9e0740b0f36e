-- as_of: the instant that ages, open storms and outlooks are counted from.
-- grain:   one row
-- reads:   passes, observations, tickets, stock, conditions
-- units:   as_of_at instant, UTC
-- empty:   as_of_at is empty while nothing has been accepted
-- formula: definitions, "As of"
create or replace table as_of as
select greatest(
    (select max(greatest(began_at, ended_at)) from passes),
    (select max(observed_at) from observations),
    (select max(loaded_at) from tickets),
    (select max("at") from stock),
    (select max(observed_at) from conditions)
) as as_of_at;
