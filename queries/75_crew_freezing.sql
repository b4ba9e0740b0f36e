-- crew_freezing: the freezing rain of a season's storms in the zones where a crew treated.
-- grain:   one row per season, crew_id
-- reads:   crew_storms, routes, storms
-- units:   freezing_storms a number; freezing_h hour
-- empty:   a crew without freezing rain in its zones has no row
-- formula: the longest freezing_h of the crew's zones in each storm, summed in millionths of a
--          second; its zones are those of the routes that it treated in the season's storms
create or replace table crew_freezing as
with crew_zones as (
    select distinct crew_storms.season, crew_storms.crew_id, routes.zone_id
    from crew_storms
    inner join routes using (route_id)
),
longest as (
    select
        crew_zones.season,
        crew_zones.crew_id,
        storms.storm_id,
        max(cast(storms.freezing_h * 3.6e9 as bigint)) as freezing_us
    from crew_zones
    inner join storms using (season, zone_id)
    where storms.freezing_h > 0
    group by crew_zones.season, crew_zones.crew_id, storms.storm_id
)
select
    season,
    crew_id,
    count(*) as freezing_storms,
    sum(freezing_us) / 3.6e9 as freezing_h
from longest
group by season, crew_id
order by season, crew_id;
