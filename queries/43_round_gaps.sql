-- round_gaps: how many rounds a route got and the time between their first begins.
-- grain:   one row per storm_id, route_id, material_class, form
-- reads:   rounds, storm_passes
-- units:   rounds a number; median_round_gap_h hour
-- empty:   median_round_gap_h with one round
-- formula: definitions, rounds and median_round_gap_h
create or replace table round_gaps as
with begun as (
    select
        storm_passes.storm_id, storm_passes.route_id, storm_passes.material_class,
        storm_passes.form,
        epoch_us(min(storm_passes.began_at)) - lag(epoch_us(min(storm_passes.began_at))) over (
            partition by storm_passes.storm_id, storm_passes.route_id, storm_passes.material_class,
                storm_passes.form
            order by rounds.round_no
        ) as gap_us
    from rounds
    inner join storm_passes using (pass_no)
    group by storm_passes.storm_id, storm_passes.route_id, storm_passes.material_class,
        storm_passes.form, rounds.round_no
)
select
    storm_id, route_id, material_class, form,
    count(*) as rounds,
    median(gap_us) / 3.6e9 as median_round_gap_h
from begun
group by storm_id, route_id, material_class, form
order by storm_id, route_id, material_class, form;
