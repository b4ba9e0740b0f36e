-- as_of: the instant that ages, open storms and outlooks are counted from.
-- grain:   one row
-- reads:   passes, observations, tickets, stock, conditions
-- units:   as_of_at instant, UTC
-- empty:   as_of_at is empty while nothing has been accepted
-- formula: definitions, "As of"
create or replace table as_of as
with instants as (
    select greatest(began_at, ended_at) as happened_at from passes
    union all
    select observed_at as happened_at from observations
    union all
    select loaded_at as happened_at from tickets
    union all
    select "at" as happened_at from stock
    union all
    select observed_at as happened_at from conditions
)
select max(happened_at) as as_of_at
from instants;
