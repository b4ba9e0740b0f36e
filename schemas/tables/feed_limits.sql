-- feed_limits: after how many hours a feed with a limit of its own is stale, from district.toml.
-- grain:   one row per feed
-- reads:   -
-- units:   stale_h hour
-- empty:   a feed without stale_h under [feeds] has no row
-- formula: -
create or replace table feed_limits (
    feed varchar not null,
    stale_h double not null
);
