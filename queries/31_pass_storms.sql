-- pass_storms: the storm that each pass belongs to.
-- grain:   one row per pass_key
-- reads:   passes, pass_measures, storms, run
-- units:   distance_us microsecond
-- empty:   a pass outside storms has no row
-- formula: definitions, "From pass to storm"; the 48 h of a pretreatment and the 36 h of a cleanup are the definition's own
create or replace table pass_storms as
with reaching as (
    select
        passes.pass_key,
        passes.purpose,
        pass_measures.zone_id,
        epoch_us(passes.began_at) as began_us,
        pass_measures.is_treating and pass_measures.form = 'liquid' as is_liquid,
        3600000000 * case
            when pass_measures.is_treating and pass_measures.form = 'liquid' then run.pretreat_liquid_h
            else run.pretreat_h
        end as reach_before_us,
        3600000000 * case
            when pass_measures.is_treating then run.cleanup_h else run.cleanup_plow_h
        end as reach_after_us
    from passes
    cross join run
    inner join pass_measures on pass_measures.pass_key = passes.pass_key
),
spans as (
    select
        storm_id,
        zone_id,
        began_at,
        epoch_us(began_at) as storm_began_us,
        epoch_us(ended_at) as storm_ended_us
    from storms
),
reached as (
    select
        reaching.*,
        spans.storm_id,
        spans.began_at,
        spans.storm_began_us - reaching.began_us as until_us,
        reaching.began_us - spans.storm_ended_us as since_us
    from reaching
    inner join spans
        on spans.zone_id = reaching.zone_id
        and spans.storm_began_us - reaching.began_us <= greatest(reaching.reach_before_us, 172800000000)
        and reaching.began_us - spans.storm_ended_us <= greatest(reaching.reach_after_us, 129600000000)
),
judged as (
    select
        *,
        greatest(until_us, since_us, 0) as distance_us,
        coalesce(purpose = 'pretreat' and until_us between 0 and 172800000000, false)
            or coalesce(purpose = 'cleanup' and since_us between 0 and 129600000000, false) as is_named,
        until_us <= reach_before_us and since_us <= reach_after_us as is_near
    from reached
),
candidates as (
    select
        *,
        bool_or(distance_us = 0) over (partition by pass_key) as is_inside_one
    from judged
    where is_named or is_near
),
ranked as (
    select
        *,
        row_number() over (
            partition by pass_key
            order by
                is_named desc,
                is_liquid and not is_inside_one and until_us > 0 desc,
                distance_us,
                began_at,
                storm_id
        ) as place
    from candidates
)
select
    pass_key,
    storm_id,
    distance_us
from ranked
where place = 1
order by pass_key;
