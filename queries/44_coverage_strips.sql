-- coverage_strips: the routes that each storm's material went down on, numbered for coverage.
-- grain:   one row per strip_no
-- reads:   storm_passes, routes
-- units:   strip_no a number, from 1, of this night alone
-- empty:   a route without miles, or without a treating pass of known lane-miles in the storm, has
--          no row
-- formula: numbered by storm, route, class and form
create or replace table coverage_strips as
with treated as (
    select distinct storm_passes.season, storm_passes.storm_id, storm_passes.route_id,
        storm_passes.material_class, storm_passes.form
    from storm_passes
    inner join routes using (route_id)
    where storm_passes.storm_id is not null and storm_passes.is_treating and storm_passes.is_placed
        and routes.from_mi <> routes.to_mi
)
select row_number() over (order by storm_id, route_id, material_class, form) as strip_no, *
from treated
order by strip_no;
