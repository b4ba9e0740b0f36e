-- weather_findings: what is wrong or doubtful in a station's reports, and when, in words.
-- grain:   one row per station_id, "from", "to", kind
-- reads:   -
-- units:   "from", "to" instants, UTC; text in US units
-- empty:   a station with nothing to tell has no row
-- formula: the sentences of weather_doubts, each once, in order
create or replace table weather_findings (
    station_id varchar not null,
    "from" timestamptz not null,
    "to" timestamptz not null,
    kind varchar not null,
    text varchar not null
);
