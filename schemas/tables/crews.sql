-- crews: crews, as read from reference/crews.csv.
-- grain:   one row per crew_id
-- reads:   -
-- units:   prior_acetate_storms storm
-- empty:   a file without rows leaves the table without rows
-- formula: -
create or replace table crews (
    crew_id varchar not null,
    label varchar not null,
    prior_acetate_storms double not null,
    members varchar
);
