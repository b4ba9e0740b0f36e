-- timing_talk: the list for the next tailgate talk: what of timing is worth a word, with the usual
--          reason.
-- grain:   one row per storm_id, route_id, material_class, kind
-- reads:   timing
-- units:   amount_lb pound; share 1; snow_before_h hour, of the kind late
-- empty:   share and amount_lb of the kind late; snow_before_h of every other kind; a route-storm
--          with nothing to say has no row
-- formula: kinds cold, wind, early, late of timing where their share is above 0. Reasons: common
--          practice. The operator treats when sent: no row names a crew
create or replace table timing_talk as
with found as (
    select season, storm_id, route_id, material_class, 'cold' as kind, cold_share as share,
        cold_lb as amount_lb, null as snow_before_h,
        'So cold, material acts slowly and much of it is lost before it melts; more of it does '
            || 'not help.' as reason
    from timing
    where cold_share > 0
    union all by name
    select season, storm_id, route_id, material_class, 'wind' as kind, wind_share as share,
        wind_lb as amount_lb, null as snow_before_h,
        'Wind carries dry pellets off the lane, light acetate first; wetting a cold dry '
            || 'pavement in drifting snow traps the snow.' as reason
    from timing
    where wind_share > 0
    union all by name
    select season, storm_id, route_id, material_class, 'early' as kind, early_share as share,
        early_lb as amount_lb, null as snow_before_h,
        'Dry material on a bare road is thrown off by traffic before the snow comes; apply as '
            || 'snow begins to stick.' as reason
    from timing
    where early_share > 0
    union all by name
    select season, storm_id, route_id, material_class, 'late' as kind, null as share,
        null as amount_lb, snow_before_h,
        'Snow that traffic has packed bonds to the road and takes more material and more '
            || 'passes; early beats late.' as reason
    from timing
    where is_late
)
select season, storm_id, route_id, material_class, kind, share, amount_lb,
    cast(snow_before_h as double) as snow_before_h, reason
from found
order by storm_id, route_id, material_class, kind;
