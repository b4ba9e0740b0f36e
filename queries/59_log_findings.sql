-- log_findings: logs that are missing: of a route, where others of its zone have some; of a zone in
--          a closed storm; of a feed that ends before the others.
-- grain:   one row per finding_code, subject_id, storm_id
-- reads:   storms, routes, storm_passes, silent_storms, feed_ends
-- units:   amount in unit; since_at instant, UTC
-- empty:   storm_id of a feed; a zone whose water was measured, under 0.01 in, and that had no
--          freezing rain is not missed: its crews may have had nothing to do; nor is a dry one
-- formula: definitions, "Comparison", no record, of a zone; else own rule
create or replace table log_findings as
with visited as (
    select distinct storm_id, zone_id, route_id from storm_passes where storm_id is not null
),
logged as (
    select storm_id, count(*) as routes_with_log from visited group by storm_id
),
no_log as (
    select 'no_log' as finding_code, 'route' as subject_kind, routes.route_id as subject_id,
        storms.storm_id, storms.began_at as since_at, logged.routes_with_log as amount,
        'count' as unit
    from storms
    inner join routes using (zone_id)
    inner join logged using (storm_id)
    left join visited on visited.storm_id = storms.storm_id and visited.route_id = routes.route_id
    inner join (select distinct storm_id, zone_id from visited) as awake
        on awake.storm_id = storms.storm_id and awake.zone_id = storms.zone_id
    where visited.route_id is null
),
zones_silent as (
    select 'zone_without_log' as finding_code, 'zone' as subject_kind,
        storms.zone_id as subject_id, storms.storm_id, storms.began_at as since_at
    from silent_storms
    inner join storms using (storm_id, zone_id)
    where storms.kind <> 'dry' and (coalesce(storms.precip_in >= 0.01, true)
        or storms.freezing_h > 0)
),
feeds_behind as (
    select 'feed_behind' as finding_code, 'feed' as subject_kind, feed as subject_id,
        until_at as since_at, behind_h as amount, 'hour' as unit
    from feed_ends
    where is_stale
)
select * from no_log
union all by name select * from zones_silent
union all by name select * from feeds_behind
order by finding_code, subject_id, storm_id;
