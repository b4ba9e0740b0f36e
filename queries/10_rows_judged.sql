-- rows_judged: each delivered row of the feeds that are told alike, with its feed.
-- grain:   one row per feed, sha256, line
-- reads:   conditions_judged, passes_judged, stock_judged, tickets_judged
-- units:   as in the tables of each feed
-- empty:   a column that the row's feed does not have
-- formula: -
create or replace view rows_judged as
select 'conditions' as feed, * from conditions_judged
union all by name
select 'passes' as feed, * from passes_judged
union all by name
select 'stock' as feed, * from stock_judged
union all by name
select 'tickets' as feed, * from tickets_judged;
