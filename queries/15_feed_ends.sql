-- feed_ends: how far each feed tells, and whether it fell silent while others went on.
-- grain:   one row per feed
-- reads:   pass_sheets, crumb_traces, observations, conditions, tickets, stock, feed_limits, run
-- units:   until_at instant, UTC; behind_h hour before the latest of passes, positions, weather and
--          conditions; stale_h hour
-- empty:   a feed of which nothing was accepted has no row; stale_h of weighed loads and stock
--          without a limit of their own: these never are stale
-- formula: contracts, "Version 2", stale_h
create or replace table feed_ends as
with ends as (
    select 'passes' as feed, max(greatest(began_at, ended_at)) as until_at from pass_sheets
    union all select 'breadcrumbs' as feed, max(ended_at) as until_at from crumb_traces
    union all select 'weather' as feed, max(observed_at) as until_at from observations
    union all select 'conditions' as feed, max(observed_at) as until_at from conditions
    union all select 'tickets' as feed, max(loaded_at) as until_at from tickets
    union all select 'stock' as feed, max("at") as until_at from stock
),
latest as (
    select max(until_at) as latest_at from ends where feed not in ('tickets', 'stock')
),
told as (
    select
        ends.feed, ends.until_at,
        greatest(epoch_us(latest_at) - epoch_us(ends.until_at), 0) / 3.6e9 as behind_h,
        coalesce(feed_limits.stale_h,
            case when ends.feed not in ('tickets', 'stock') then run.stale_h end) as stale_h
    from ends
    cross join latest
    cross join run
    left join feed_limits using (feed)
    where ends.until_at is not null
)
select *, coalesce(behind_h > stale_h, false) as is_stale
from told
order by feed;
