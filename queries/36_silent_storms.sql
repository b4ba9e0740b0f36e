-- silent_storms: the zones in which no pass of any route lies within reach of a closed storm: the
--          log is missing, whatever road reports say.
-- grain:   one row per storm_id, zone_id
-- reads:   storms, pass_reaches
-- units:   -
-- empty:   an open storm has no row: its passes may be on their way
-- formula: definitions, "Comparison", no record
create or replace table silent_storms as
select storms.storm_id, storms.zone_id
from storms
left join pass_reaches using (storm_id, zone_id)
where not storms.is_open and pass_reaches.storm_id is null
order by storms.storm_id, storms.zone_id;
