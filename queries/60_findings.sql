-- findings: what a person should look at, never turned into a zero.
-- grain:   one row per finding_code, subject_kind, subject_id, storm_id, since_at, name,
--          other_name, other_from_at
-- reads:   zones, stations, storms, storm_passes, passes, treatments, round_gaps, observations,
--          present_wx_codes, set_aside, account_findings, position_findings,
--          file_findings, log_findings
-- units:   amount in unit, other_amount in other_unit; share_pct percent; instants, UTC
-- empty:   storm_id where the finding is of no storm; since_at where it is of no instant; what the
--          words of the code have no place for
-- formula: definitions, "Pounds and lane-miles of a pass": findings, the 25, the 1200 and the 0.6
create or replace table findings as
with zones_blind as (
    select 'zone_without_station' as finding_code, 'zone' as subject_kind,
        zone_id as subject_id
    from zones
    anti join stations using (zone_id)
),
open_storms as (
    select 'open_storm' as finding_code, 'zone' as subject_kind, zone_id as subject_id, storm_id,
        began_at as since_at, hours as amount, 'hour' as unit
    from storms where is_open
),
silent as (
    select 'no_weather' as finding_code, 'zone' as subject_kind, storms.zone_id as subject_id,
        storms.storm_id, storms.began_at as since_at, count(distinct stations.station_id) as amount,
        'count' as unit
    from storms
    inner join stations using (zone_id)
    left join observations
        on observations.station_id = stations.station_id
            and observations.observed_at between storms.began_at and storms.ended_at
    group by storms.zone_id, storms.storm_id, storms.began_at
    having count(observations.observed_at) = 0
),
twice as (
    select 'same_truck_and_begin' as finding_code, 'truck' as subject_kind, truck_id as subject_id,
        began_at as since_at, count(*) as amount, 'count' as unit
    from passes
    group by truck_id, began_at
    having count(pass_id) between 1 and count(*) - 1
),
unread as (
    select 'weather_not_read' as finding_code, 'station' as subject_kind,
        observations.station_id as subject_id, min(observations.observed_at) as since_at,
        count(*) as amount, 'count' as unit
    from observations
    left join present_wx_codes using (present_wx)
    where observations.present_wx is not null and present_wx_codes.present_wx is null
    group by observations.station_id
),
odd_passes as (
    select 'pass_lanes' as finding_code, 'pass' as subject_kind, pass_key as subject_id, storm_id,
        began_at as since_at, applied_ulb / lane_ulane_mi as amount,
        'pound per lane-mile' as unit, route_id as name
    from storm_passes
    where lane_ulane_mi > 0
        and (applied_ulb < 25 * lane_ulane_mi or applied_ulb > 1200 * lane_ulane_mi)
),
odd_routes as (
    select 'route_lanes' as finding_code, 'route' as subject_kind,
        treatments.route_id as subject_id, treatments.storm_id,
        treatments.first_application_at as since_at,
        treatments.treated_ulane_mi / treatments.route_ulane_mi as amount,
        'count' as unit, round_gaps.rounds as other_amount, 'count' as other_unit,
        treatments.material_class as name, treatments.form as other_name
    from treatments
    inner join round_gaps using (storm_id, route_id, material_class, form)
    where 10 * treatments.treated_ulane_mi < 6 * round_gaps.rounds * treatments.route_ulane_mi
),
aside as (
    select if(dispensed_lb is null, 'set_aside_unread', 'set_aside') as finding_code,
        'truck' as subject_kind, coalesce(truck_id, '(none given)') as subject_id,
        first_at as since_at, dispensed_lb as amount, 'pound' as unit, "rows" as other_amount,
        'count' as other_unit, reason_code as name
    from set_aside
),
found as (
    select * from zones_blind
    union all by name select * from open_storms
    union all by name select * from log_findings
    union all by name select * from silent
    union all by name select * from twice
    union all by name select * from unread
    union all by name select * from odd_passes
    union all by name select * from odd_routes
    union all by name select * from aside
    union all by name select * from account_findings
    union all by name select * from position_findings
    union all by name select * from file_findings
)
select
    finding_code, subject_kind, subject_id, storm_id, since_at, cast(amount as double) as amount,
    unit, cast(other_amount as double) as other_amount, other_unit, share_pct, name, other_name,
    from_at, to_at, other_from_at, other_to_at
from found
order by finding_code, subject_kind, subject_id, storm_id nulls first, since_at nulls first, name,
    other_name, other_from_at;
