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
)
select
    stockpile_id,
    material_id,
    counted_at,
    last_event_at,
    on_hand_ulb / 1e6 as on_hand_lb,
    case when sum(on_hand_ulb) over district > 0
        then on_hand_ulb / sum(on_hand_ulb) over district end as share
from last_events
window district as (partition by material_id)
order by stockpile_id, material_id;
