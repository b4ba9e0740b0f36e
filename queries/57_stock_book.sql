-- stock_book: every event of every pile of material, with the book that runs from its last count.
-- grain:   one row per stockpile_id, material_id, "at", event, reference
-- reads:   stock, tickets
-- units:   amount_lb (loads out negative, a count as counted), book_lb after the event,
--          difference_lb counted less book: pound
-- empty:   book_lb before a pile's first count; difference_lb unless the event is a count that has
--          one before it; counted_before_at likewise
-- formula: definitions, "Stock outlook": a count, then deliveries and adjustments less loaded plus
--          returned after it; an event at the instant of a count stands before it; what comes back
--          is booked at the instant of its load, the only one that a ticket has
create or replace table stock_book as
with events as (
    select
        stockpile_id, material_id, "at",
        kind as event,
        kind as reference,
        case kind when 'count' then 9 when 'delivery' then 1 else 2 end as place,
        cast(amount_lb * 1e6 as bigint) as amount_ulb
    from stock
    union all by name
    select
        stockpile_id,
        material_id,
        loaded_at as "at",
        'load out' as event,
        ticket_id as reference,
        3 as place,
        -cast(loaded_lb * 1e6 as bigint) as amount_ulb
    from tickets
    union all by name
    select
        stockpile_id,
        material_id,
        loaded_at as "at",
        'return' as event,
        ticket_id as reference,
        4 as place,
        cast(returned_lb * 1e6 as bigint) as amount_ulb
    from tickets
    where returned_lb > 0
),
numbered as (
    select
        *,
        row_number() over pile as event_no,
        count(*) filter (where event = 'count') over pile as counts
    from events
    window pile as (partition by stockpile_id, material_id order by "at", place,
        reference rows unbounded preceding)
),
booked as (
    select
        *,
        sum(amount_ulb) over since_count as book_ulb,
        first_value("at") over since_count as counted_at
    from numbered
    window since_count as (partition by stockpile_id, material_id,
        counts order by event_no rows unbounded preceding)
),
compared as (
    select
        *,
        lag(book_ulb) over pile as book_before_ulb,
        lag(counted_at) over pile as counted_before_at,
        lag(counts) over pile as counts_before
    from booked
    window pile as (partition by stockpile_id, material_id order by event_no)
)
select
    stockpile_id, material_id, "at", event, reference, event_no,
    amount_ulb / 1e6 as amount_lb,
    case when counts > 0 then book_ulb / 1e6 end as book_lb,
    case when event = 'count' and counts_before > 0 then counted_before_at end as counted_before_at,
    case when event = 'count'
        and counts_before > 0 then (amount_ulb - book_before_ulb) / 1e6 end as difference_lb
from compared
order by stockpile_id, material_id, event_no;
