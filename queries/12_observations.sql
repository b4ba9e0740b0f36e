-- observations: the weather observations in force: of each key the row that was accepted, or its
--          latest correction.
-- grain:   one row per station_id, observed_at
-- reads:   observations_told, report_increments
-- units:   air_f degree Fahrenheit; surface_f degree Fahrenheit; dew_f degree Fahrenheit; wind_mph
--          mile per hour; gust_mph mile per hour; wind_deg degree; visibility_mi mile; precip_in
--          inch; snow_depth_in inch
-- empty:   a key whose rows are all quarantined has no row; an empty cell is null; a trace has
--          precip_in 0 and precip_is_trace
-- formula: contracts, "Order decides, not arrival"; the water of a raw report is what its running
--          sum adds (report_increments)
create or replace table observations as
select
    told.station_id,
    told.observed_at,
    told.air_f,
    told.surface_f,
    told.dew_f,
    told.wind_mph,
    told.gust_mph,
    told.wind_deg,
    told.visibility_mi,
    case when told.report_kind is null then told.precip_in else added.precip_in end as precip_in,
    case when told.report_kind is null then told.precip_is_trace
        else added.precip_is_trace end as precip_is_trace,
    told.present_wx,
    told.snow_depth_in,
    told.file,
    told.line
from observations_told as told
left join report_increments as added using (station_id, observed_at)
where told.is_in_force
order by told.station_id, told.observed_at;
