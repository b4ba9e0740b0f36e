-- outside_reasons: the passes outside storms that fell in a spell of frost or refreezing of their
--          zone.
-- grain:   one row per pass_key
-- reads:   storm_passes, frosts
-- units:   none
-- empty:   a pass in a storm, or outside storms and in no spell, has no row
-- formula: definitions, frost and refreeze: the pass and the spell share an instant; refreeze
--          before frost where both do
create or replace table outside_reasons as
select
    storm_passes.pass_key,
    max(frosts.kind) as kind
from storm_passes
inner join frosts
    on frosts.zone_id = storm_passes.zone_id
    and frosts."from" <= storm_passes.ended_at
    and frosts."to" >= storm_passes.began_at
where storm_passes.storm_id is null
group by storm_passes.pass_key
order by storm_passes.pass_key;
