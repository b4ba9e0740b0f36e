-- pass_costs: what each treating pass cost, with the price that was in force on its local date.
-- grain:   one row per pass_key
-- reads:   storm_passes, pass_measures, prices
-- units:   _uusd millionth of a dollar; usd_per_ton dollar per ton of 2000 pounds; _ulb millionth of a pound; _ulane_mi millionth of a
--          lane-mile
-- empty:   storm_id outside storms; price_from_date, usd_per_ton and material_uusd without a price; cost_uusd where a price is missing
--          for pounds other than 0; material_uusd and applied_ulb unless measured
-- formula: definitions, cost_usd; material_uusd is the part without prewet
create or replace table pass_costs as
with treating as (
    select
        storm_passes.pass_key,
        storm_passes.season,
        storm_passes.storm_id,
        storm_passes.zone_id,
        storm_passes.route_id,
        storm_passes.material_id,
        pass_measures.material_class,
        pass_measures.form,
        pass_measures.local_date,
        pass_measures.is_measured,
        pass_measures.is_measured or pass_measures.prewet_ulb is not null as has_pounds,
        pass_measures.route_ulane_mi,
        pass_measures.lane_ulane_mi,
        pass_measures.applied_ulb,
        pass_measures.prewet_ulb,
        pass_measures.cost_uusd
    from storm_passes
    inner join pass_measures on pass_measures.pass_key = storm_passes.pass_key
    where pass_measures.is_treating
)
select
    treating.*,
    prices.from_date as price_from_date,
    prices.usd_per_ton,
    cast(round_even(treating.applied_ulb / 2000 * prices.usd_per_ton, 0) as bigint) as material_uusd
from treating
asof left join prices
    on prices.material_id = treating.material_id and prices.from_date <= treating.local_date
order by pass_key;
