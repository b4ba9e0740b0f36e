-- regains: when each route was bare again after each storm of its zone, as road reports tell it.
-- grain:   one row per storm_id, route_id
-- reads:   storms, routes, conditions, as_of, run
-- units:   regain_h, capped_regain_h hour
-- empty:   regain_h unless regain_state is bare; capped_regain_h and is_bare_in_cap unless it is
--          bare or not bare
-- formula: definitions, regain: the window runs from the zone's end, that instant left out, to its
--          next storm or regain_cap_h, that instant included; hours to bare with a cap: the least
--          of regain_h, the window and bare_cap_h, without regain_h where it is not bare
create or replace table regains as
with ends as (
    select
        storms.storm_id,
        storms.zone_id,
        epoch_us(storms.ended_at) as ended_us,
        least(
            lead(epoch_us(storms.began_at)) over (
                partition by storms.zone_id order by storms.began_at, storms.storm_id
            ),
            epoch_us(storms.ended_at) + cast(run.regain_cap_h * 3600000000 as bigint)
        ) as until_us,
        run.bare_cap_h
    from storms
    cross join run
),
windows as (
    select
        ends.*,
        routes.route_id,
        coalesce(ends.until_us > epoch_us(as_of.as_of_at), false) as is_open
    from ends
    inner join routes using (zone_id)
    cross join as_of
),
reports as (
    select
        route_id,
        epoch_us(observed_at) as observed_us,
        cover in ('bare-dry', 'bare-wet') as is_bare
    from conditions
),
seen as (
    select
        windows.storm_id,
        windows.route_id,
        arg_max(is_bare, observed_us) filter (where observed_us <= ended_us) as was_bare,
        max(observed_us) filter (where observed_us > ended_us) as last_us,
        max(observed_us) filter (where observed_us > ended_us and not is_bare) as last_cover_us,
        arg_max(is_bare, observed_us) filter (where observed_us > ended_us) as ends_bare
    from windows
    inner join reports
        on reports.route_id = windows.route_id and reports.observed_us
            between windows.ended_us - 10800000000 and greatest(windows.ended_us, windows.until_us)
    group by windows.storm_id, windows.route_id
),
first_bare as (
    select
        seen.storm_id,
        seen.route_id,
        min(reports.observed_us) as bare_us
    from seen
    inner join windows using (storm_id, route_id)
    inner join reports
        on reports.route_id = windows.route_id
        and reports.observed_us > coalesce(seen.last_cover_us, windows.ended_us)
        and reports.observed_us <= windows.until_us
    group by seen.storm_id, seen.route_id
),
told as (
    select
        windows.storm_id,
        windows.route_id,
        windows.bare_cap_h,
        (windows.until_us - windows.ended_us) / 3.6e9 as window_h,
        case
            when windows.is_open then 'open'
            when seen.last_us is null then 'no reports'
            when seen.ends_bare then 'bare'
            else 'not bare'
        end as regain_state,
        case
            when windows.is_open or not coalesce(seen.ends_bare, false) then null
            when coalesce(seen.was_bare, false) and seen.last_cover_us is null then 0.0
            else (first_bare.bare_us - windows.ended_us) / 3.6e9
        end as regain_h
    from windows
    left join seen using (storm_id, route_id)
    left join first_bare using (storm_id, route_id)
)
select
    storm_id,
    route_id,
    regain_state,
    regain_h,
    case when regain_state in ('bare', 'not bare')
        then least(coalesce(regain_h, window_h), window_h, bare_cap_h) end as capped_regain_h,
    case when regain_state in ('bare', 'not bare')
        then coalesce(regain_h <= bare_cap_h, false) end as is_bare_in_cap
from told
order by storm_id, route_id;
