-- withheld_sums: which published sums hold a figure that is withheld of crews too small for
--          figures, and would give it away.
-- grain:   one row per part, season, storm_id, zone_id, watershed, route_id, crew_id,
--          material_class, week
-- reads:   withheld_parts, routes, crew_storms, chloride_kept_off, storm_passes, run
-- units:   week the Monday of a local week
-- empty:   the columns by which a part does not part; no row where no crew is protected. Parts are
--          those of tallies and: cost of a storm, cost of a season, pounds kept off (a storm's,
--          and, storm_id empty, a season's), week
-- formula: sums over the rows of one storm, or of one season, stay where withheld_parts kept them;
--          all that divide the district hold with a withheld row one that is computed. Pounds kept
--          off rest on the other routes of the zone and the route's earlier seasons
create or replace table withheld_sums as
with hidden as (
    select distinct parts.season, parts.storm_id, parts.zone_id, routes.watershed, parts.route_id,
        parts.material_class, parts.form
    from withheld_parts as parts
    left join routes using (route_id)
    where parts.of_route
),
storms_lost as (
    select distinct season, storm_id, material_class, form
    from withheld_parts
    where of_storm
),
seasons_lost as (
    select distinct season, material_class, form
    from withheld_parts
    where of_season
),
bases_hidden as (
    select chloride_kept_off.season, chloride_kept_off.storm_id, routes.watershed
    from chloride_kept_off
    inner join routes using (route_id)
    where exists (
        select 1
        from hidden
        where (hidden.storm_id = chloride_kept_off.storm_id and hidden.zone_id = routes.zone_id)
            or (hidden.route_id = chloride_kept_off.route_id
                and hidden.season < chloride_kept_off.season))
),
weeks_lost as (
    select distinct date_trunc('week', storm_passes.local_date) as week, material_class
    from storm_passes
    inner join storms_lost using (storm_id, material_class)
    where storms_lost.form = 'solid'
),
parts as (
    select 'storm and zone' as part, season, storm_id, zone_id, material_class from hidden
    union by name
    select 'storm and watershed' as part, season, storm_id, watershed from hidden
    union by name
    select 'season and watershed' as part, season, watershed from hidden
    union by name
    select unnest(['route', 'route to date']) as part, season, route_id, material_class
        from hidden
    union by name
    select 'roads of a route' as part, season, route_id from hidden
    union by name
    select 'roads of a crew' as part, hidden.season, crew_storms.crew_id
        from hidden
        inner join crew_storms using (season, route_id)
    union by name
    select 'storm' as part, season, storm_id, material_class
        from storms_lost where form = 'solid'
    union by name
    select 'cost of a storm' as part, season, storm_id, material_class from storms_lost
    union by name
    select unnest(['season to date', 'first third', 'latest third']) as part, season,
            material_class
        from storms_lost where form = 'solid'
    union by name
    select 'season' as part, season, material_class from seasons_lost where form = 'solid'
    union by name
    select 'cost of a season' as part, season, material_class from seasons_lost
    union by name
    select 'pounds kept off' as part, season, storm_id, watershed from bases_hidden
    union by name
    select 'pounds kept off' as part, season, watershed from bases_hidden
    union by name
    select 'week' as part, material_class,
            cast(unnest(range(week, week + to_days(7 * cast(run.reconcile_weeks as integer)),
                interval 7 days)) as date) as week
        from weeks_lost cross join run
)
select part, season, storm_id, zone_id, watershed, route_id, crew_id, material_class, week
from parts
order by all nulls first;
