-- pass_sheets_beside: passes of vehicle positions, and pass sheets of the same truck and time.
-- grain:   one row per crumb_key, pass_key
-- reads:   pass_sheets, crumb_passes_counted, materials
-- units:   together_us, pass_us, sheet_us microsecond: the time that they share, that of the pass,
--          that of the sheet
-- empty:   a pass without a sheet in its time has no row
-- formula: can_hold: the sheet can take the pounds of the pass: something went out on it, and the
--          sheet's material is a solid, or it has none and the positions name one; or nothing went
--          out. Both are held against each other on the UTC day on which their time together begins
create or replace table pass_sheets_beside as
with crumbs as (
    select
        *,
        unnest(range(epoch_us(began_at) // 86400000000, epoch_us(ended_at) // 86400000000 + 1))
            as utc_day
    from crumb_passes_counted
),

sheets as (
    select
        pass_sheets.*,
        materials.form,
        unnest(range(epoch_us(pass_sheets.began_at) // 86400000000,
            epoch_us(pass_sheets.ended_at) // 86400000000 + 1)) as utc_day
    from pass_sheets
    left join materials using (material_id)
)

select
    crumbs.pass_key as crumb_key,
    sheets.pass_key,
    sheets.began_at,
    sheets.ended_at,
    crumbs.route_id = sheets.route_id as is_same_route,
    not crumbs.is_treating or coalesce(sheets.form, '') = 'solid'
        or (sheets.material_id is null and crumbs.material_id is not null) as can_hold,
    epoch_us(least(crumbs.ended_at, sheets.ended_at))
        - epoch_us(greatest(crumbs.began_at, sheets.began_at)) as together_us,
    epoch_us(crumbs.ended_at) - epoch_us(crumbs.began_at) as pass_us,
    epoch_us(sheets.ended_at) - epoch_us(sheets.began_at) as sheet_us
from crumbs
inner join sheets
    on sheets.truck_id = crumbs.truck_id and sheets.utc_day = crumbs.utc_day
    and sheets.began_at <= crumbs.ended_at and sheets.ended_at >= crumbs.began_at
where crumbs.utc_day = greatest(epoch_us(crumbs.began_at), epoch_us(sheets.began_at)) // 86400000000
    and (sheets.began_at < sheets.ended_at or sheets.began_at < crumbs.ended_at)
order by crumb_key, sheets.pass_key;
