-- season_pounds: how a season's solid pounds of each compared class were told, and which of them
--          verdicts rest on.
-- grain:   one row per season, material_class
-- reads:   storm_passes, pass_corrections, run
-- units:   _ulb millionth of a pound; shares 0 to 1; pounds_basis reported or weighed
-- empty:   a season without such pounds in storms has no row
-- formula: definitions, "Settings are no counters": weighed where pounds_basis asks for it and
--          loads cover 80 % of each class's pounds; is_by_settings: over 0.10 from set rates and
--          under 80 % weighed; a class of set rates that loads cover is corrected whatever is asked
create or replace table season_pounds as
with told as (
    select
        storm_passes.season,
        storm_passes.material_class,
        sum(storm_passes.applied_ulb) as applied_ulb,
        coalesce(sum(storm_passes.applied_ulb) filter (where storm_passes.is_by_set_rate), 0)
            as set_rate_ulb,
        coalesce(sum(storm_passes.applied_ulb)
            filter (where pass_corrections.corrected_ulb is not null), 0) as weighed_ulb
    from storm_passes
    cross join run
    left join pass_corrections using (pass_no)
    where storm_passes.storm_id is not null and storm_passes.form = 'solid'
        and storm_passes.material_class in (run.compare, run.beside)
    group by storm_passes.season, storm_passes.material_class
    having sum(storm_passes.applied_ulb) > 0
),
shared as (
    select
        *,
        set_rate_ulb / applied_ulb as set_rate_share,
        weighed_ulb / applied_ulb as weighed_share,
        10 * set_rate_ulb > applied_ulb as has_set_rates,
        10 * weighed_ulb >= 8 * applied_ulb as is_weighed
    from told
),
based as (
    select
        shared.*,
        case when run.pounds_basis = 'weighed' and bool_and(is_weighed) over (partition by season)
            then 'weighed' else 'reported' end as pounds_basis
    from shared
    cross join run
)
select
    season,
    material_class,
    applied_ulb,
    set_rate_ulb,
    set_rate_share,
    weighed_share,
    has_set_rates and not is_weighed as is_by_settings,
    pounds_basis,
    pounds_basis = 'weighed' or has_set_rates and is_weighed as is_corrected
from based
order by season, material_class;
