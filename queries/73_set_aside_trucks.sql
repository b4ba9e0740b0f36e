-- set_aside_trucks: what is set aside of each truck, and of all.
-- grain:   one row per part, truck_id
-- reads:   set_aside
-- units:   rows row; dispensed_lb pound
-- empty:   truck_id of the part all, and where the rows name no truck; dispensed_lb where no row
--          tells it
-- formula: part truck sums over a truck's reasons, part all over all trucks
create or replace table set_aside_trucks as
select
    case when grouping(truck_id) = 1 then 'all' else 'truck' end as part,
    truck_id,
    coalesce(cast(sum("rows") as bigint), 0) as "rows",
    sum(cast(dispensed_lb * 1e6 as bigint)) / 1e6 as dispensed_lb
from set_aside
group by grouping sets ((truck_id), ())
order by part, truck_id nulls first;
