-- coverage: the tenths of coverage_tenths with storm, route and material: the export.
-- grain:   one row per storm_id, route_id, material_class, form, from_mi
-- reads:   coverage_tenths, coverage_strips
-- units:   as in coverage_tenths
-- empty:   as in coverage_tenths
-- formula: -
create or replace view coverage as
select coverage_strips.*, coverage_tenths.* exclude (strip_no)
from coverage_tenths
inner join coverage_strips using (strip_no);
