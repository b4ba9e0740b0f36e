-- storm_passes: every pass with its storm, its lane-miles and pounds, and the weather it met: what all later steps read of passes.
-- grain:   one row per pass_no, pass_key
-- reads:   passes, pass_measures, pass_storms, pass_weather, storms, run
-- units:   from_mi, to_mi mile; lane_miles lane-mile; applied_lb pound; pavement_f degree Fahrenheit; wind_mph mile per hour;
--          others as in pass_measures
-- empty:   storm_id outside storms; material_class, form and applied_lb of a plow-only pass; lane_miles unless placed; applied_lb
--          unless measured; pavement_f and wind_mph without a report in the 90 minutes before; is_cold and is_windy then too
-- formula: definitions, "From pass to storm", "Pounds and lane-miles of a pass"; season of a pass in a storm is the storm's; cold_share and
--          wind_share: is_cold below the material's lowest working temperature, is_windy from wind_caution_mph
create or replace table storm_passes as
select
    passes.pass_no,
    passes.pass_key,
    pass_storms.storm_id,
    coalesce(storms.season, printf(
        '%d-%02d',
        year(timezone((select time_zone from run), passes.began_at) - interval 6 month),
        (year(timezone((select time_zone from run), passes.began_at) - interval 6 month) + 1) % 100
    )) as season,
    pass_measures.* exclude (pass_no, began_at, purpose, lowest_working_f),
    passes.route_id,
    passes.truck_id,
    passes.crew_id,
    passes.began_at,
    passes.ended_at,
    passes.from_mi,
    passes.to_mi,
    passes.pass_id,
    passes.material_id,
    passes.prewet_material_id,
    pass_measures.lane_ulane_mi / 1e6 as lane_miles,
    pass_measures.applied_ulb / 1e6 as applied_lb,
    passes.purpose,
    passes.plow_down,
    pass_weather.pavement_uf < cast(pass_measures.lowest_working_f * 1e6 as bigint)
        * nullif(pass_weather.pavement_stations, 0) as is_cold,
    pass_weather.wind_umph >= cast((select wind_caution_mph from run) * 1e6 as bigint)
        * nullif(pass_weather.wind_stations, 0) as is_windy,
    pass_weather.pavement_uf / nullif(pass_weather.pavement_stations, 0) / 1e6 as pavement_f,
    pass_weather.wind_umph / nullif(pass_weather.wind_stations, 0) / 1e6 as wind_mph
from passes
inner join pass_measures on pass_measures.pass_no = passes.pass_no
left join pass_storms on pass_storms.pass_no = passes.pass_no
left join pass_weather on pass_weather.pass_no = passes.pass_no
left join storms
    on storms.storm_id = pass_storms.storm_id and storms.zone_id = pass_measures.zone_id;
