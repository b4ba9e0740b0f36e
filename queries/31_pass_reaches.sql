-- pass_reaches: the storms of its zone that each pass lies within reach of.
-- grain:   one row per pass_no, storm_id
-- reads:   placed_passes, storms, run
-- units:   until_us, since_us, distance_us microsecond; until_us is to the storm's begin, since_us
--          from its end
-- empty:   a pass within reach of no storm has no row
-- formula: definitions, "From pass to storm"; the 48 h of a pretreatment and the 36 h of a cleanup
--          are the definition's own. A pass is held against the storms that reach into its UTC day
create or replace table pass_reaches as
with reaching as (
    select
        pass_no,
        purpose,
        zone_id,
        epoch_us(began_at) as began_us,
        is_treating and form = 'liquid' as is_liquid,
        3600000000 * case when is_treating and form = 'liquid' then run.pretreat_liquid_h
            else run.pretreat_h end as reach_before_us,
        3600000000 * case when is_treating then run.cleanup_h
            else run.cleanup_plow_h end as reach_after_us
    from placed_passes
    cross join run
),
spans as (
    select
        storms.storm_id,
        storms.zone_id,
        storms.began_at,
        epoch_us(storms.began_at) as storm_began_us,
        epoch_us(storms.ended_at) as storm_ended_us,
        3600000000 * greatest(run.pretreat_liquid_h, run.pretreat_h, 48) as before_us,
        3600000000 * greatest(run.cleanup_h, run.cleanup_plow_h, 36) as after_us
    from storms
    cross join run
),
days as (
    select
        *,
        unnest(range(
            cast(floor((storm_began_us - before_us) / 86400000000) as bigint),
            cast(floor((storm_ended_us + after_us) / 86400000000) as bigint) + 1
        )) as utc_day
    from spans
),
reached as (
    select
        reaching.*,
        days.storm_id,
        days.began_at,
        days.storm_began_us - reaching.began_us as until_us,
        reaching.began_us - days.storm_ended_us as since_us
    from reaching
    inner join days on days.zone_id = reaching.zone_id
        and days.utc_day = reaching.began_us // 86400000000
),
judged as (
    select
        pass_no, storm_id, zone_id, began_at, is_liquid, until_us, since_us,
        greatest(until_us, since_us, 0) as distance_us,
        coalesce(purpose = 'pretreat' and until_us between 0 and 172800000000, false)
            or coalesce(purpose = 'cleanup' and since_us between 0 and 129600000000, false)
                as is_named,
        until_us <= reach_before_us and since_us <= reach_after_us as is_near
    from reached
)
select *
from judged
where is_named or is_near;
