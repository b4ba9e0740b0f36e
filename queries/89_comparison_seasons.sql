-- comparison_seasons: acetate beside chloride routes over each season, with its verdicts.
-- grain:   one row per season
-- reads:   comparison
-- units:   those of comparison
-- empty:   those of comparison
-- formula: the rows of seasons
create or replace table comparison_seasons as
select * exclude (storm_id, zone_id, storm_ratio, acetate_reported_share,
    chloride_reported_share, within_ten_share, within_margin_share)
from comparison
where storm_id is null
order by season;
