-- frost_sums: how often and how long pavement froze or froze again in each zone in a season.
-- grain:   one row per season, zone_id, kind
-- reads:   frosts
-- units:   spells a number; hours hour
-- empty:   a zone without a spell of a kind in the season has no row
-- formula: the spells' lengths, summed in millionths of a second
create or replace table frost_sums as
select
    season,
    zone_id,
    kind,
    count(*) as spells,
    sum(epoch_us("to") - epoch_us("from")) / 3.6e9 as hours
from frosts
group by season, zone_id, kind
order by season, zone_id, kind;
