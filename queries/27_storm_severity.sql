-- storm_severity: the classes of every storm in every zone, and its severity.
-- grain:   one row per storm_id, zone_id
-- reads:   storm_sensed, severity_classes, severity_index
-- units:   snow_in inch, in storms longer than 24 h per 24 h; ti_f, tp_f degree Fahrenheit; wi_mph,
--          wp_mph mile per hour; severity and severity_storm 0 to 1
-- empty:   a class without data; severity_storm without ST, Ti, Wi or Bi; severity without any of
--          the six; no row in a dry zone
-- formula: definitions, "Storms", severity and severity_storm
create or replace table storm_severity as
with readings as (
    select storm_id, zone_id, unnest(['ST', 'Ti', 'Wi', 'Tp', 'Wp']) as factor,
        unnest([snow_in, ti_f, wi_mph, tp_f, wp_mph]) as x
    from storm_sensed
),
classed as (
    select
        readings.storm_id,
        readings.zone_id,
        max(severity_classes.class) filter (where readings.factor = 'ST') as st,
        max(severity_classes.class) filter (where readings.factor = 'Ti') as ti,
        max(severity_classes.class) filter (where readings.factor = 'Wi') as wi,
        max(severity_classes.class) filter (where readings.factor = 'Tp') as tp,
        max(severity_classes.class) filter (where readings.factor = 'Wp') as wp
    from readings
    inner join severity_classes
        on severity_classes.factor = readings.factor
        and (from_value is null or x > from_value or has_from and x = from_value)
        and (to_value is null or x < to_value or has_to and x = to_value)
    where severity_classes.unit is not null
    group by readings.storm_id, readings.zone_id
),
whole as (
    select
        storm_sensed.*,
        case when storm_sensed.is_icing then 'freezing rain' else classed.st end as st,
        classed.ti, classed.wi, classed.tp, classed.wp
    from storm_sensed
    left join classed using (storm_id, zone_id)
),
storm_alone as (
    select distinct st, ti, wi, bi, severity_storm
    from severity_index
)
select
    whole.storm_id, whole.zone_id, whole.st, whole.ti, whole.wi, whole.bi, whole.tp, whole.wp,
    whole.snow_in, whole.ti_f, whole.wi_mph, whole.tp_f, whole.wp_mph, storm_alone.severity_storm,
    severity_index.severity
from whole
left join storm_alone using (st, ti, wi, bi)
left join severity_index using (st, ti, wi, bi, tp, wp)
order by whole.storm_id, whole.zone_id;
