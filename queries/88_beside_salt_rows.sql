-- beside_salt_rows: what the four questions of acetate beside salt are fitted on.
-- grain:   one row per question, storm_id, route_id, crew_id, is_acetate
-- reads:   storms, routes, crew_storms, judged_passes, comparison_routes, run
-- units:   y pound per lane-mile (rate, pounds), full-route equivalents (applications), 1 + hour
--          (hours); x doublings of 1 + storms worked; w doublings of 1 + storms of the season so
--          far; air_f_mean degree Fahrenheit; intensity inch per hour; freezing 0 or 1;
--          route_ulane_mi millionth of a lane-mile; storm_date a local date
-- empty:   crew_id but of a rate; y of hours without reports; is_bare_in_cap but of hours with
--          reports; x of an acetate route-storm whose crews' pounds are unknown; a covariate that
--          the zone lacks
-- formula: definitions, "Beside salt": rates of used rows of the compared class and of rows with
--          pounds of the class beside; route-storms that count in the comparison, hours of treated
--          ones whose window is closed; x of a route-storm by its crews' pounds, 0 beside
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
        season,
        cast(timezone(run.time_zone, run_began_at) as date) as storm_date,
        log2(rank() over (partition by district_id, season order by run_began_at)) as w
    from begun
    cross join run
),
weather as (
    select storm_id, zone_id, is_open, air_f_mean,
        precip_in / greatest(hours, 1.0) as intensity,
        case when freezing_h is not null then cast(freezing_h >= 0.5 as double) end as freezing
    from storms
),
crew_rates as (
    select storm_id, route_id, crew_id, material_class,
        coalesce(sum(judged_ulb) filter (where is_placed), 0)
            / nullif(sum(measured_ulane_mi), 0) as y
    from judged_passes
    group by storm_id, route_id, crew_id, material_class
),
experience as (
    select storm_id, route_id,
        sum(cast(round_even(log2(1.0 + prior_storms) * 1e12, 0) as hugeint)
            * cast(round_even(applied_lb * 1e6, 0) as hugeint))
            / nullif(sum(cast(round_even(applied_lb * 1e6, 0) as hugeint)), 0) / 1e12 as x
    from crew_storms
    cross join run
    where material_class = run.compare and form = 'solid'
    group by storm_id, route_id
),
rates as (
    select 'rate' as question, crew_storms.storm_id, crew_storms.route_id, crew_storms.crew_id,
        crew_storms.material_class, crew_rates.y,
        log2(1.0 + crew_storms.prior_storms) as x
    from crew_storms
    cross join run
    inner join crew_rates using (storm_id, route_id, crew_id, material_class)
    where crew_storms.form = 'solid' and crew_rates.y > 0
        and (crew_storms.learning_use = 'used' or crew_storms.material_class = run.beside)
),
route_storms as (
    select
        unnest(['applications', 'pounds', 'hours']) as question,
        comparison_routes.storm_id,
        comparison_routes.route_id,
        comparison_routes.route_class as material_class,
        unnest([
            treated_ulane_mi / route_ulane_mi,
            applied_ulb / route_ulane_mi,
            1 + regain_us / 3.6e9
        ]) as y,
        experience.x,
        route_ulane_mi,
        unnest([null, null, is_bare_in_cap]) as is_bare_in_cap,
        treating_passes > 0 and regain_state <> 'open' as is_timed
    from comparison_routes
    left join experience using (storm_id, route_id)
    where comparison_routes.left_out is null
),
questions as (
    select * from rates
    union all by name
    select * exclude (is_timed) from route_storms where question <> 'hours' or is_timed
)
select
    questions.question, ranked.season, questions.storm_id, routes.zone_id, questions.route_id,
    questions.crew_id,
    questions.material_class = run.compare as is_acetate,
    ranked.storm_date,
    case when questions.material_class = run.compare then questions.x else 0 end as x,
    ranked.w,
    questions.y,
    weather.air_f_mean, weather.intensity, weather.freezing,
    coalesce(questions.route_ulane_mi, 0) as route_ulane_mi,
    questions.is_bare_in_cap
from questions
cross join run
inner join routes using (route_id)
inner join ranked using (storm_id)
inner join weather
    on weather.storm_id = questions.storm_id and weather.zone_id = routes.zone_id
where not weather.is_open
order by question, storm_date, storm_id, route_id, crew_id, is_acetate;
