-- pass_sheets_met: passes of vehicle positions that a pass sheet describes too, and the sheet.
-- grain:   one row per crumb_key
-- reads:   pass_sheets, crumb_passes_counted
-- units:   together_us microsecond
-- empty:   a pass that no sheet describes has no row
-- formula: a sheet describes a pass of the same truck when at least half of the pass's time lies within the sheet's; the sheet with the longest time
--          together, then the one that began first. Where some of a sheet's passes are on the sheet's route the others are not the sheet's: they
--          stay passes of their own
create or replace table pass_sheets_met as
with together as (
    select
        crumbs.pass_key as crumb_key,
        sheets.pass_key,
        sheets.began_at,
        crumbs.route_id = sheets.route_id as is_same_route,
        epoch_us(least(crumbs.ended_at, sheets.ended_at)) - epoch_us(greatest(crumbs.began_at, sheets.began_at)) as together_us,
        epoch_us(crumbs.ended_at) - epoch_us(crumbs.began_at) as pass_us
    from crumb_passes_counted as crumbs
    inner join pass_sheets as sheets
        on sheets.truck_id = crumbs.truck_id and sheets.began_at <= crumbs.ended_at and sheets.ended_at >= crumbs.began_at
),

described as (
    select
        crumb_key,
        pass_key,
        is_same_route,
        together_us,
        bool_or(is_same_route) over (partition by pass_key) as has_same_route,
        row_number() over (partition by crumb_key order by is_same_route desc, together_us desc, began_at, pass_key) as place
    from together
    where 2 * together_us >= pass_us
)

select crumb_key, pass_key, is_same_route, together_us
from described
where place = 1 and is_same_route = has_same_route
order by crumb_key;
