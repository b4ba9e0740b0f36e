-- storm_passes: every pass with its storm, its lane-miles, pounds, chloride and cost, and the
--          weather it met: what all later steps read of passes.
-- grain:   one row per pass_no, pass_key
-- reads:   price_spans, placed_passes, materials, local_dates, pass_storms, pass_weather, storms,
--          run
-- units:   from_mi, to_mi mile; lane_miles lane-mile; applied_lb pound; lane_ulane_mi millionth of
--          a lane-mile; applied_ulb, prewet_ulb, chloride_ulb millionth of a pound; cost_uusd
--          millionth of a dollar; route_umi and route_ulane_mi of the whole route; pavement_f
--          degree Fahrenheit; wind_mph mile per hour
-- empty:   storm_id outside storms; lane_miles unless placed; applied_lb unless measured;
--          material_class, form, is_by_set_rate and pounds of a plow-only pass; prewet_ulb without
--          prewet or with an unknown liquid; cost_uusd where a price is missing for pounds other
--          than 0; pavement_f and wind_mph without a report in the 90 minutes before; is_cold and
--          is_windy then too
-- formula: definitions, "From pass to storm", "Pounds and lane-miles of a pass", chloride_lb and
--          cost_usd; season of a pass in a storm is the storm's; is_by_set_rate: a solid's pounds
--          are the set rate's; cold_share and wind_share: is_cold below the material's lowest
--          working temperature, is_windy from wind_caution_mph
create or replace table storm_passes as
with weighed as (
    select
        placed_passes.*,
        local_dates.local_date,
        case
            when not is_treating then null
            when placed_passes.form = 'liquid' then dispensed_gal * placed_passes.dry_lb_per_gal
            else coalesce(dispensed_lb, rate_set_lb_per_lane_mi * lane_miles)
        end as measured_lb,
        case when is_treating then prewet_gal * prewets.dry_lb_per_gal end as wetting_lb,
        prewets.chloride_fraction as prewet_chloride_fraction
    from placed_passes
    inner join local_dates on local_dates.minute_no = epoch_us(placed_passes.began_at) // 60000000
    left join materials as prewets on prewets.material_id = placed_passes.prewet_material_id
)
select
    weighed.pass_no,
    weighed.pass_key,
    pass_storms.storm_id,
    coalesce(storms.season, printf(
        '%d-%02d',
        year(timezone((select time_zone from run), weighed.began_at) - interval 6 month),
        (year(timezone((select time_zone from run), weighed.began_at) - interval 6 month) + 1) % 100
    )) as season,
    weighed.local_date,
    weighed.zone_id,
    case when weighed.is_treating then weighed.class end as material_class,
    case when weighed.is_treating then weighed.form end as form,
    weighed.is_treating,
    weighed.lane_miles is not null as is_placed,
    weighed.measured_lb is not null as is_measured,
    weighed.form <> 'liquid' and weighed.measured_lb is not null
        and weighed.dispensed_lb is null as is_by_set_rate,
    weighed.is_unlocated,
    weighed.is_treating and weighed.prewet_gal > 0 as has_prewet,
    weighed.lanes,
    weighed.route_umi,
    weighed.route_ulane_mi,
    cast(weighed.lane_miles * 1e6 as bigint) as lane_ulane_mi,
    cast(weighed.measured_lb * 1e6 as bigint) as applied_ulb,
    cast(weighed.wetting_lb * 1e6 as bigint) as prewet_ulb,
    cast((coalesce(weighed.measured_lb * weighed.chloride_fraction, 0)
        + coalesce(weighed.wetting_lb * weighed.prewet_chloride_fraction, 0)) * 1e6 as bigint)
        as chloride_ulb,
    cast((
        case when coalesce(weighed.measured_lb, 0) = 0 then 0
            else weighed.measured_lb / 2000 * applied_prices.usd_per_ton end
        + case when coalesce(weighed.wetting_lb, 0) = 0 then 0
            else weighed.wetting_lb / 2000 * prewet_prices.usd_per_ton end
    ) * 1e6 as bigint) as cost_uusd,
    weighed.route_id,
    weighed.truck_id,
    weighed.crew_id,
    weighed.began_at,
    weighed.ended_at,
    weighed.from_mi,
    weighed.to_mi,
    weighed.pass_id,
    weighed.material_id,
    weighed.prewet_material_id,
    lane_ulane_mi / 1e6 as lane_miles,
    applied_ulb / 1e6 as applied_lb,
    weighed.purpose,
    weighed.plow_down,
    pass_weather.pavement_uf < cast(weighed.lowest_working_f * 1e6 as bigint)
        * nullif(pass_weather.pavement_stations, 0) as is_cold,
    pass_weather.wind_umph >= cast((select wind_caution_mph from run) * 1e6 as bigint)
        * nullif(pass_weather.wind_stations, 0) as is_windy,
    pass_weather.pavement_uf / nullif(pass_weather.pavement_stations, 0) / 1e6 as pavement_f,
    pass_weather.wind_umph / nullif(pass_weather.wind_stations, 0) / 1e6 as wind_mph
from weighed
left join price_spans as applied_prices
    on applied_prices.material_id = weighed.material_id
        and applied_prices.from_date <= weighed.local_date
    and weighed.local_date < applied_prices.next_date
left join price_spans as prewet_prices
    on prewet_prices.material_id = weighed.prewet_material_id
        and prewet_prices.from_date <= weighed.local_date
    and weighed.local_date < prewet_prices.next_date
left join pass_storms using (pass_no)
left join pass_weather using (pass_no)
left join storms on storms.storm_id = pass_storms.storm_id and storms.zone_id = weighed.zone_id;
