-- route_switches: routes that would tell the material from the road, and the storms they lack.
-- grain:   one row per route_id, is_acetate
-- reads:   beside_salt_rows
-- units:   storms count
-- empty:   no row where two routes have five storms of each class
-- formula: definitions, "Beside salt", routes_changed: of the latest season's routes with pounds,
--          in zones where acetate has a row, as many as are lacking to two; those that lack the
--          fewest storms come first, of each class in turn, then by route_id
create or replace table route_switches as
with counted as (
    select route_id, classes.is_acetate, max(season) as season,
        greatest(0, 5 - count(distinct case when beside_salt_rows.is_acetate = classes.is_acetate
            then storm_id end)) as storms
    from beside_salt_rows
    cross join (select unnest([true, false]) as is_acetate) as classes
    where question = 'pounds' and y > 0 and zone_id in (
        select zone_id from beside_salt_rows where question = 'pounds' and is_acetate
    )
    group by route_id, classes.is_acetate
),
lacking as (
    select *, sum(storms) over (partition by route_id) as route_storms,
        row_number() over (partition by is_acetate, storms = 0 order by route_id) as place
    from counted
),
ranked as (
    select route_id, route_storms,
        row_number() over (order by route_storms, min(place) filter (where storms > 0), route_id)
            as rank
    from lacking
    where season = (select max(season) from lacking) and route_storms > 0
    group by route_id, route_storms
),
changed as (
    select count(distinct route_id) as routes from lacking where route_storms = 0
)
select lacking.route_id, lacking.is_acetate, lacking.storms
from lacking
inner join ranked using (route_id)
cross join changed
where lacking.storms > 0 and ranked.rank <= 2 - changed.routes
order by ranked.rank, lacking.is_acetate;
