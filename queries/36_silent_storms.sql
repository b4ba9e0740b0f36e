-- silent_storms: the zones in which no pass of any route lies within reach of a closed storm: the
--          log is missing, whatever road reports say.
-- grain:   one row per storm_id, zone_id
-- reads:   storms, pass_reaches
-- units:   -
-- empty:   an open storm has no row: its passes may be on their way
-- formula: definitions, "Comparison", no record
create or replace table silent_storms as
select storm_id, zone_id
from storms
anti join pass_reaches using (storm_id, zone_id)
where not is_open
order by storm_id, zone_id;
