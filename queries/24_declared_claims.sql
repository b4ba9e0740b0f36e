-- declared_claims: the declared storms with the runs whose rows they remove in their zone, and the
--          one whose name they take.
-- grain:   one row per zone_id, began_at
-- reads:   declared_storms, zones, storm_runs
-- units:   instants, UTC; claimed_run_at is the begin of the run whose storm_id and begin the
--          declared storm takes
-- empty:   claimed_run_at is empty when the storm overlaps no kept run, or an earlier declared
--          storm of the zone took its first
-- formula: definitions, "Storms": overlap with the run's whole district interval, ends included
create or replace table declared_claims as
with overlapped as (
    select
        declared_storms.zone_id,
        declared_storms.began_at,
        declared_storms.ended_at,
        zones.district_id,
        min(storm_runs.run_began_at) as first_run_at,
        row_number() over (
            partition by declared_storms.zone_id, min(storm_runs.run_began_at)
            order by declared_storms.began_at
        ) as place
    from declared_storms
    inner join zones using (zone_id)
    left join storm_runs
        on storm_runs.district_id = zones.district_id
        and storm_runs.is_kept
        and storm_runs.run_began_at <= declared_storms.ended_at
        and storm_runs.run_ended_at >= declared_storms.began_at
    group by declared_storms.zone_id, declared_storms.began_at, declared_storms.ended_at,
        zones.district_id
)
select
    district_id,
    zone_id,
    began_at,
    ended_at,
    case when place = 1 then first_run_at end as claimed_run_at
from overlapped
order by zone_id, began_at;
