-- beside_salt_rows: the rows of the learning curve and all solid rows, with pounds, of the class
--          beside.
-- grain:   one row per storm_id, crew_id, route_id, material_class
-- reads:   learning_rows, crew_storms, routes, storms, run
-- units:   rate_lb_per_lane_mi pound per lane-mile; air_f_mean degree Fahrenheit; intensity inch
--          per hour; freezing 0 or 1; x doublings of 1 + storms worked; w doublings of 1 + storms
--          of the season so far
-- empty:   a covariate that the route's zone lacks in the storm; rows beside of open storms or
--          without pounds have no row
-- formula: definitions, "Learning", beside salt: w = log2(1 + kept storms of that season, in the
--          storm's district, before it), x = 0 for the class beside
create or replace table beside_salt_rows as
with begun as (
    select storm_id, any_value(season) as season, any_value(district_id) as district_id,
        min(run_began_at) as run_began_at
    from storms
    group by storm_id
),
ranked as (
    select
        storm_id,
        log2(rank() over (partition by district_id, season order by run_began_at)) as w
    from begun
),
salt as (
    select
        crew_storms.storm_id,
        crew_storms.crew_id,
        crew_storms.route_id,
        crew_storms.material_class,
        0.0 as x,
        crew_storms.rate_lb_per_lane_mi,
        storms.air_f_mean,
        storms.precip_in / greatest(storms.hours, 1.0) as intensity,
        case when storms.freezing_h is not null
            then cast(storms.freezing_h >= 0.5 as double) end as freezing
    from crew_storms
    cross join run
    inner join routes on routes.route_id = crew_storms.route_id
    inner join storms on storms.storm_id = crew_storms.storm_id and storms.zone_id = routes.zone_id
    where crew_storms.material_class = run.beside and crew_storms.form = 'solid'
        and crew_storms.rate_lb_per_lane_mi > 0 and not storms.is_open
),
compared as (
    select
        storm_id,
        crew_id,
        route_id,
        run.compare as material_class,
        x,
        rate_lb_per_lane_mi,
        air_f_mean,
        intensity,
        freezing
    from learning_rows
    cross join run
),
both_classes as (
    select * from compared
    union all by name
    select * from salt
)
select
    both_classes.storm_id,
    both_classes.crew_id,
    both_classes.route_id,
    both_classes.material_class,
    both_classes.x,
    ranked.w,
    both_classes.rate_lb_per_lane_mi,
    both_classes.air_f_mean,
    both_classes.intensity,
    both_classes.freezing
from both_classes
inner join ranked on ranked.storm_id = both_classes.storm_id
order by storm_id, crew_id, route_id, material_class;
