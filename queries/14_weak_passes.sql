-- weak_passes: what vehicle positions show and the tally does not count: passes that are not
--          certain enough, and what went out on no pass.
-- grain:   one row per season, truck_id, began_at, route_id, piece, reason
-- reads:   crumb_passes_counted, pass_sheets_met, crumb_passes, crumb_traces, between_traces, run,
--          code_words
-- units:   piece 2 for a second pass that begins with the same position, else 1; points position;
--          matched_share, confidence share of 1; miles mile; dispensed_lb pound
-- empty:   route_id, material_id, matched_share, confidence off the network; dispensed_lb where no
--          position tells pounds
-- formula: passes below match_min or of one position, and passes that spread without naming a
--          material and that no sheet describes; off the network: one row a truck and season with
--          all positions that are on no route, the miles driven there, and the pounds that went out
--          on no pass; between two traces: one row a truck and season with the pounds of
--          between_traces
create or replace table weak_passes as
with nameless as (
    select counted.truck_id, counted.began_at, counted.route_id
    from crumb_passes_counted as counted
    anti join pass_sheets_met on pass_sheets_met.crumb_key = counted.pass_key
    where counted.is_treating and counted.material_id is null
),

single as (
    select
        truck_id,
        coalesce(route_id, '') as route_id,
        material_id,
        began_at,
        ended_at,
        points,
        matched_share,
        confidence,
        abs(to_mi - from_mi) as miles,
        dispensed_ulb / 1e6 as dispensed_lb,
        coalesce(weak_code, 'weak_nameless') as reason_code,
        first_no as piece,
        year(timezone(run.time_zone, began_at) - interval 6 month) as first_year
    from crumb_passes
    cross join run
    where weak_code is not null
        or is_treating and material_id is null
        and row(truck_id, began_at, route_id) in (
            select row(truck_id, began_at, route_id) from nameless)
),

off_network as (
    select
        truck_id,
        year(timezone(run.time_zone, began_at) - interval 6 month) as first_year,
        min(began_at) as began_at,
        max(ended_at) as ended_at,
        cast(sum(off_network) as bigint) as points,
        sum(cast(off_network_mi * 1e6 as bigint)) / 1e6 as miles,
        sum(unplaced_ulb) / 1e6 as dispensed_lb
    from crumb_traces
    cross join run
    where off_network > 0 or unplaced_ulb <> 0
    group by truck_id, first_year
),

risen as (
    select truck_id, first_year, min(began_at) as began_at, max(ended_at) as ended_at,
        sum(risen_ulb) / 1e6 as dispensed_lb
    from between_traces
    group by truck_id, first_year
),

all_kinds as (
    select
        first_year, truck_id, route_id, piece, material_id, began_at, ended_at, points,
            matched_share, confidence, miles, dispensed_lb, reason_code
    from single
    union all by name
    select off_network.*, '' as route_id, 1 as piece, 'weak_off_network' as reason_code
    from off_network
    union all by name
    select risen.*, '' as route_id, 1 as piece, 0 as points, 0 as miles,
        'weak_between' as reason_code
    from risen
)

select
    printf('%d-%02d', first_year, (first_year + 1) % 100) as season,
    truck_id,
    nullif(route_id, '') as route_id,
    material_id,
    began_at,
    ended_at,
    piece,
    points,
    matched_share,
    confidence,
    miles,
    dispensed_lb,
    code_words.reason
from all_kinds
left join code_words on code_words.code = all_kinds.reason_code
order by season, truck_id, began_at, all_kinds.route_id, piece, reason;
