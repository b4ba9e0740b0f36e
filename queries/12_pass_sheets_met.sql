-- pass_sheets_met: passes of vehicle positions that pass sheets describe too, and the sheets.
-- grain:   one row per crumb_key, pass_key
-- reads:   pass_sheets, crumb_passes_counted
-- units:   share_begin, share_end share of 1 of the pass's time: the part that is the sheet's
-- empty:   a pass that no sheet describes has no row
-- formula: a sheet describes a pass of the same truck when the two share at least half of the shorter one's time. Where some of a sheet's passes are on
--          the sheet's route the others are not the sheet's: they stay passes of their own. Of several sheets the one with the longest time
--          together has the pass, and shares it, by time together, with those that lie mostly within it and beside the longer ones
create or replace table pass_sheets_met as
with together as (
    select
        crumbs.pass_key as crumb_key,
        sheets.pass_key,
        sheets.began_at,
        sheets.ended_at,
        crumbs.route_id = sheets.route_id as is_same_route,
        epoch_us(least(crumbs.ended_at, sheets.ended_at)) - epoch_us(greatest(crumbs.began_at, sheets.began_at)) as together_us,
        epoch_us(crumbs.ended_at) - epoch_us(crumbs.began_at) as pass_us,
        epoch_us(sheets.ended_at) - epoch_us(sheets.began_at) as sheet_us
    from crumb_passes_counted as crumbs
    inner join pass_sheets as sheets
        on sheets.truck_id = crumbs.truck_id and sheets.began_at <= crumbs.ended_at and sheets.ended_at >= crumbs.began_at
),

described as (
    select *, bool_or(is_same_route) over (partition by pass_key) as has_same_route
    from together
    where 2 * together_us >= least(pass_us, sheet_us)
),

ranked as (
    select
        * exclude (has_same_route),
        row_number() over (partition by crumb_key order by is_same_route desc, together_us desc, began_at, pass_key) as place
    from described
    where is_same_route = has_same_route
),

outdone as (
    select distinct ranked.crumb_key, ranked.pass_key
    from ranked
    inner join ranked as better on better.crumb_key = ranked.crumb_key and better.place < ranked.place
    where better.is_same_route <> ranked.is_same_route
        or 2 * ranked.together_us < ranked.sheet_us
        or 2 * (epoch_us(least(better.ended_at, ranked.ended_at)) - epoch_us(greatest(better.began_at, ranked.began_at))) > ranked.sheet_us
),

summed as (
    select
        crumb_key,
        pass_key,
        is_same_route,
        greatest(together_us, 1) as part_us,
        sum(greatest(together_us, 1)) over (partition by crumb_key order by began_at, pass_key) as up_to_us,
        sum(greatest(together_us, 1)) over (partition by crumb_key) as whole_us
    from ranked
    anti join outdone on outdone.crumb_key = ranked.crumb_key and outdone.pass_key = ranked.pass_key
)

select crumb_key, pass_key, is_same_route, (up_to_us - part_us) / whole_us as share_begin, up_to_us / whole_us as share_end
from summed
order by crumb_key, share_begin;
