-- price_spans: the dates on which each price of a material holds.
-- grain:   one row per material_id, from_date
-- reads:   prices
-- units:   usd_per_ton dollar per ton of 2000 pounds; from_date the first local date, next_date
--          that of the next price
-- empty:   a material without a price has no row; next_date is 9999-12-31 for its latest
-- formula: definitions, cost_usd: the price in force on the pass's local date. Joining by spans: an
--          asof join with a handful of prices sorts every pass
create or replace view price_spans as
select material_id, usd_per_ton, from_date,
    lead(from_date, 1, date '9999-12-31')
    over (partition by material_id order by from_date) as next_date
from prices;
