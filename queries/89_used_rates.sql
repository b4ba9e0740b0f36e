-- used_rates: which rates were used, by material, pavement temperature and kind of storm, with the
--          roads beside them.
-- grain:   one row per material_id, band_no, storm_kind
-- reads:   storm_passes, storms, regains, run, withheld_parts
-- units:   from_f, to_f the band, degree Fahrenheit; rates pound per lane-mile, liquids dry;
--          regain_h hour, the median of capped ones; handbook_ pound per lane-mile
-- empty:   from_f, to_f where the band has no such end; band_no 6, no report, has neither, and no
--          handbook row; handbook_ columns but beside chloride solids; regain_h where no road
--          was reported
-- formula: a rate is a sum of pounds over a sum of lane-miles: one per storm, route, material and
--          band, over placed and measured treating passes of closed storms whose route
--          is not withheld of a crew too small for figures; then quartiles.
--          Pavement as in cold_share. Bands and handbook rates: Maine DOT treatment table, NTL
--          14387 appendix, per lane-mile: the middle of a range, no order; local policy and
--          licensed practice decide
create or replace table used_rates as
with bands as (
    select *
    from (values
        (1, 32, null, 0, 150, 0, 150, null),
        (2, 28, 32, 150, 250, 100, 200, null),
        (3, 20, 28, 250, 350, 200, 300, null),
        (4, 15, 20, 350, 450, 300, 400, null),
        (5, null, 15, null, null, null, null, 'plow; no chemicals; see local policy'),
        (6, null, null, null, null, null, null, null)
    ) as bands (band_no, from_f, to_f, first_low, first_high, following_low, following_high,
        caution)
),
banded as (
    select
        storm_passes.*,
        storms.kind as storm_kind,
        case
            when pavement_f is null then 6
            when pavement_f > 32 then 1
            when pavement_f >= 28 then 2
            when pavement_f >= 20 then 3
            when pavement_f >= 15 then 4
            else 5
        end as band_no
    from storm_passes
    inner join storms using (storm_id, zone_id)
    where storm_passes.is_treating
        and storm_passes.is_placed and storm_passes.is_measured and not storms.is_open
        and row(storm_passes.storm_id, storm_passes.route_id) not in (
            select row(storm_id, route_id) from withheld_parts where of_route)
),
used as (
    select
        material_id,
        any_value(material_class) as material_class,
        any_value(form) as form,
        band_no,
        storm_kind,
        storm_id,
        route_id,
        sum(applied_ulb) / nullif(sum(lane_ulane_mi), 0) as rate
    from banded
    group by material_id, band_no, storm_kind, storm_id, route_id
),
quartiles as (
    select
        used.material_id,
        any_value(used.material_class) as material_class,
        any_value(used.form) as form,
        used.band_no,
        used.storm_kind,
        count(distinct used.storm_id) as storms,
        count(*) as route_storms,
        quantile_cont(used.rate, 0.25) as low_rate_lb_per_lane_mi,
        median(used.rate) as median_rate_lb_per_lane_mi,
        quantile_cont(used.rate, 0.75) as high_rate_lb_per_lane_mi,
        median(regains.capped_regain_h) as regain_h,
        count(*) filter (where regains.is_bare_in_cap) as bare_routes,
        count(*) filter (where not regains.is_bare_in_cap) as not_bare_routes
    from used
    left join regains using (storm_id, route_id)
    group by used.material_id, used.band_no, used.storm_kind
)
select
    quartiles.*,
    cast(bands.from_f as double) as from_f,
    cast(bands.to_f as double) as to_f,
    case when is_salt then bands.first_low end as handbook_first_low_lb_per_lane_mi,
    case when is_salt then bands.first_high end as handbook_first_high_lb_per_lane_mi,
    case when is_salt then bands.following_low end as handbook_following_low_lb_per_lane_mi,
    case when is_salt then bands.following_high end as handbook_following_high_lb_per_lane_mi,
    case
        when bands.caution is not null then bands.caution
        when quartiles.material_class = run.compare and not is_salt and bands.first_low is not null
            then 'salt; not a floor for ' || run.compare
    end as caution
from (select *, material_class = 'chloride' and form = 'solid' as is_salt from quartiles)
    as quartiles
cross join run
inner join bands using (band_no)
order by material_id, band_no, storm_kind;
