-- pass_sheets_met: passes of vehicle positions that pass sheets describe too, and the sheets.
-- grain:   one row per crumb_key, pass_key
-- reads:   pass_sheets_beside
-- units:   share_begin, share_end share of 1 of the pass's time: the part that is the sheet's
-- empty:   a pass that no sheet describes has no row
-- formula: a sheet describes a pass of the same truck when the two share at least half of the
--          shorter one's time. Where some of a sheet's passes are on the sheet's route the others
--          are not the sheet's: they stay passes of their own. Of several sheets one on the pass's
--          route comes first, then one that can hold the pounds, one with a length, the longest
--          time together. It shares the pass, by time together, with those that are like it in the
--          first three, lie mostly within the pass, and beside the ones before them
create or replace table pass_sheets_met as
with described as (
    select *, bool_or(is_same_route) over (partition by pass_key) as has_same_route
    from pass_sheets_beside
    where 2 * together_us >= least(pass_us, sheet_us)
),

ranked as (
    select
        *,
        row(is_same_route, can_hold, sheet_us > 0) as kind,
        row_number() over (
            partition by crumb_key order by is_same_route desc, can_hold desc, sheet_us > 0 desc,
                together_us desc, began_at, pass_key
        ) as place
    from described
    where is_same_route = has_same_route
),

sharing as (
    select ranked.*
    from ranked
    inner join ranked as first_ones
        on first_ones.crumb_key = ranked.crumb_key and first_ones.place = 1
    where ranked.place = 1
        or (ranked.kind = first_ones.kind
            and 2 * ranked.together_us >= ranked.sheet_us
            and 2 * (epoch_us(least(first_ones.ended_at, ranked.ended_at))
                - epoch_us(greatest(first_ones.began_at, ranked.began_at))) <= ranked.sheet_us)
),

outdone as (
    select distinct sharing.crumb_key, sharing.pass_key
    from sharing
    inner join sharing as better
        on better.crumb_key = sharing.crumb_key and better.place < sharing.place
    where 2 * (epoch_us(least(better.ended_at, sharing.ended_at))
        - epoch_us(greatest(better.began_at, sharing.began_at))) > sharing.sheet_us
),

summed as (
    select
        crumb_key,
        pass_key,
        is_same_route,
        greatest(together_us, 1) as part_us,
        sum(greatest(together_us, 1))
            over (partition by crumb_key order by began_at, pass_key) as up_to_us,
        sum(greatest(together_us, 1)) over (partition by crumb_key) as whole_us
    from sharing
    anti join outdone using (crumb_key, pass_key)
)

select crumb_key, pass_key, is_same_route, (up_to_us - part_us) / whole_us as share_begin,
    up_to_us / whole_us as share_end
from summed
order by crumb_key, share_begin;
