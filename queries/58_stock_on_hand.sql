-- stock_on_hand: what each pile holds by its book, and its share of the district's.
-- grain:   one row per stockpile_id, material_id
-- reads:   stock_book
-- units:   on_hand_lb pound; share of the material over all counted piles, share of 1
-- empty:   counted_at and on_hand_lb of a pile that was never counted; share likewise, and where
--          the district has none left
-- formula: definitions, "Stock outlook", on_hand_lb
create or replace table stock_on_hand as
with last_events as (
    select
        stockpile_id,
        material_id,
        max("at") filter (where event = 'count') as counted_at,
        max("at") as last_event_at,
        cast(arg_max_null(book_lb, event_no) * 1e6 as bigint) as on_hand_ulb
    from stock_book
    group by stockpile_id, material_id
),
held as (
    select material_id, sum(on_hand_ulb) as district_ulb
    from last_events
    group by material_id
)
select
    last_events.stockpile_id,
    last_events.material_id,
    last_events.counted_at,
    last_events.last_event_at,
    last_events.on_hand_ulb / 1e6 as on_hand_lb,
    case when held.district_ulb > 0 then last_events.on_hand_ulb / held.district_ulb end as share
from last_events
inner join held on held.material_id = last_events.material_id
order by stockpile_id, material_id;
