-- pass_storms: the storm that each pass belongs to.
-- grain:   one row per pass_no
-- reads:   pass_reaches
-- units:   distance_us microsecond
-- empty:   a pass outside storms has no row
-- formula: definitions, "From pass to storm". Once named ones stand first, a liquid takes the storm
--          it is in, else the next, else the last; anything else the nearest
create or replace table pass_storms as
select pass_no, storm_id, distance_us
from pass_reaches
qualify row_number() over (
    partition by pass_no
    order by
        is_named desc,
        case when is_liquid and until_us > 0 then 1 when is_liquid and since_us > 0 then 2
            else 0 end,
        distance_us,
        began_at,
        storm_id
) = 1;
