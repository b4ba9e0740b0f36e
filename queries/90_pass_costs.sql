-- pass_costs: what each treating pass cost, with the price that was in force on its local date.
-- grain:   one row per pass_no
-- reads:   storm_passes, price_spans
-- units:   _uusd millionth of a dollar; usd_per_ton dollar per ton of 2000 pounds; _ulb millionth
--          of a pound; _ulane_mi millionth of a lane-mile
-- empty:   storm_id outside storms; price_from_date, usd_per_ton and material_uusd without a price;
--          cost_uusd where a price is missing for pounds other than 0; material_uusd and
--          applied_ulb unless measured
-- formula: definitions, cost_usd; material_uusd is the part without prewet
create or replace view pass_costs as
select
    storm_passes.*,
    is_measured or coalesce(prewet_ulb > 0, false) as has_pounds,
    price_spans.from_date as price_from_date,
    price_spans.usd_per_ton,
    cast(storm_passes.applied_ulb / 2000 * price_spans.usd_per_ton as bigint) as material_uusd
from storm_passes
left join price_spans
    on price_spans.material_id = storm_passes.material_id
        and price_spans.from_date <= storm_passes.local_date
    and storm_passes.local_date < price_spans.next_date
where storm_passes.is_treating;
