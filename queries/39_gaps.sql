-- gaps: what is not there, so that figures stay empty: what a newcomer looks for first.
-- grain:   one row per finding_code, subject_id
-- reads:   run, stations, observations, conditions, tickets, prices, crews, calibrations,
--          assignments, rows_told, storm_passes
-- units:   amount and other_amount counts, other_amount of all where the words say so
-- empty:   subject_id unless of a zone; name unless of reference tables; a district without a gap
--          has no row
-- formula: own rules; more than half of the passes in no storm is more than a winter's patrols
create or replace table gaps as
with totals as (
    select
        count(*) as passes,
        count(*) filter (lane_miles is null) as unplaced,
        count(*) filter (storm_id is null) as outside,
        count(*) filter (material_id is not null) as treating
    from storm_passes
),
zone_passes as (
    select zone_id, count(*) as passes from storm_passes group by zone_id
),
reporting as (
    select distinct stations.zone_id
    from observations
    inner join stations on stations.station_id = observations.station_id
),
empty_nights as (
    select 'gap_no_passes' as finding_code from totals where passes = 0
    union all
    select 'gap_no_weather' from run where not exists (from reporting)
    union all
    select 'gap_no_lane_miles' from totals where passes > 0 and unplaced = passes
),
blind_zones as (
    select 'gap_zone_weather' as finding_code, zone_id as subject_id, passes as amount
    from zone_passes
    anti join reporting on reporting.zone_id = zone_passes.zone_id
),
unlisted as (
    select 'gap_unlisted' as finding_code, count(*) as amount,
        count(distinct fault_found) as other_amount,
        array_to_string(
            list_sort(list(distinct replace(fault_code, 'unknown_', '') || 's.csv')), ', ') as name
    from rows_told
    where status = 'quarantined' and starts_with(fault_code, 'unknown_')
    having count(*) > 0
),
unassigned as (
    select count(*) filter (assignments.route_id is null) as amount
    from storm_passes
    left join assignments
        on assignments.route_id = storm_passes.route_id
        and storm_passes.local_date >= assignments.from_date
        and storm_passes.local_date <= coalesce(assignments.to_date, storm_passes.local_date)
    where storm_passes.material_id is not null
),
trucks_used as (
    select count(distinct spread.truck_id) as other_amount,
        count(distinct spread.truck_id) filter (calibrated.truck_id is null) as amount
    from storm_passes as spread
    left join (select distinct truck_id from calibrations) as calibrated
        on calibrated.truck_id = spread.truck_id
    where spread.material_id is not null
),
crews_used as (
    select count(distinct crew_id) as other_amount,
        count(distinct crew_id) filter (coalesce(crews.members, '') = '') as amount
    from storm_passes
    inner join crews using (crew_id)
),
shares as (
    select 'gap_time_zone' as finding_code, null as amount, null as other_amount
    from run where time_zone = 'UTC'
    union all
    select 'gap_lane_miles', unplaced, passes from totals where unplaced between 1 and passes - 1
    union all
    select 'gap_outside_storms', outside, passes from totals
    where 2 * outside > passes and exists (from reporting)
    union all
    select 'gap_unassigned', amount, treating from unassigned cross join totals where amount > 0
    union all
    select 'gap_calibrations', amount, other_amount from trucks_used where amount > 0
    union all
    select 'gap_members', amount, other_amount from crews_used where amount > 0
    union all
    select 'gap_no_conditions', null, null from run where not exists (from conditions)
    union all
    select 'gap_no_tickets', null, null from run where not exists (from tickets)
    union all
    select 'gap_no_prices', null, null from run where not exists (from prices)
),
found as (
    select finding_code from empty_nights
    union all by name select * from blind_zones
    union all by name select * from unlisted
    union all by name select * from shares
)
select finding_code, if(subject_id is null, 'district', 'zone') as subject_kind,
    coalesce(subject_id, '') as subject_id, cast(amount as double) as amount,
    cast(other_amount as double) as other_amount, name
from found
order by finding_code, subject_id;
