-- storm_passes: every pass with its storm, its lane-miles and pounds, and the weather it met.
-- grain:   one row per pass_key
-- reads:   passes, pass_measures, pass_storms, pass_weather, storms, run
-- units:   from_mi, to_mi mile; lane_miles lane-mile; applied_lb, prewet_lb pound; pavement_f degree Fahrenheit; wind_mph mile per hour
-- empty:   storm_id outside storms; material_class, form and applied_lb of a plow-only pass; lane_miles unless placed; applied_lb
--          unless measured; pavement_f and wind_mph without a report in the 90 minutes before
-- formula: definitions, "From pass to storm", "Pounds and lane-miles of a pass"; season of a pass in a storm is the storm's
create or replace table storm_passes as
with dated as (
    select
        passes.*,
        pass_storms.storm_id,
        year(timezone((select time_zone from run), coalesce(storms.run_began_at, passes.began_at)) - interval 6 month) as first_year
    from passes
    inner join pass_measures on pass_measures.pass_key = passes.pass_key
    left join pass_storms on pass_storms.pass_key = passes.pass_key
    left join storms
        on storms.storm_id = pass_storms.storm_id and storms.zone_id = pass_measures.zone_id
)
select
    dated.pass_key,
    dated.storm_id,
    printf('%d-%02d', dated.first_year, (dated.first_year + 1) % 100) as season,
    pass_measures.zone_id,
    dated.route_id,
    dated.truck_id,
    dated.crew_id,
    dated.began_at,
    dated.ended_at,
    dated.from_mi,
    dated.to_mi,
    dated.material_id,
    pass_measures.material_class,
    pass_measures.form,
    pass_measures.is_treating,
    pass_measures.is_placed,
    pass_measures.is_measured,
    pass_measures.lanes,
    pass_measures.lane_ulane_mi / 1e6 as lane_miles,
    pass_measures.applied_ulb / 1e6 as applied_lb,
    pass_measures.prewet_ulb / 1e6 as prewet_lb,
    dated.purpose,
    dated.plow_down,
    pass_weather.pavement_uf / nullif(pass_weather.pavement_stations, 0) / 1e6 as pavement_f,
    pass_weather.wind_umph / nullif(pass_weather.wind_stations, 0) / 1e6 as wind_mph,
    dated.feed as pass_feed,
    dated.file as pass_file,
    dated.line as pass_line
from dated
inner join pass_measures on pass_measures.pass_key = dated.pass_key
left join pass_weather on pass_weather.pass_key = dated.pass_key
order by pass_key;
