-- account_findings: what weighed loads, calibrations and counts ask a person to check; 60 puts them
--          beside the other findings.
-- grain:   one row per finding_code, subject_kind, subject_id, since_at, name
-- reads:   reconciliation, calibrations, stock_book, run, truck_drifts
-- units:   amount in unit, other_amount in other_unit; from_at, to_at instants, UTC
-- empty:   since_at where a truck was never calibrated; amount likewise
-- formula: definitions, "Reconciliation" and "Stock outlook". A count that differs from its book by
--          more than the two largest loads weighed out of the pile is a finding: one or two lost
--          tickets explain less (our choice)
create or replace table account_findings as
with wrong_settings as (
    select
        'wrong_setting' as finding_code,
        'truck' as subject_kind,
        reconciliation.truck_id as subject_id,
        timezone(any_value(run.time_zone), cast(min(reconciliation.week) as timestamp)) as since_at,
        arg_max(reconciliation.running_ratio, reconciliation.week) as amount,
        'ratio' as unit,
        reconciliation.material_id as name,
        split_part(reconciliation.finding, '?', 1)[9:] as other_name,
        timezone(any_value(run.time_zone), cast(min(reconciliation.week) as timestamp)) as from_at,
        timezone(any_value(run.time_zone), cast(max(reconciliation.week) as timestamp)) as to_at
    from reconciliation
    cross join run
    where starts_with(reconciliation.finding, 'set for ')
    group by reconciliation.truck_id, reconciliation.material_id, other_name
),
latest_weeks as (
    select
        truck_id,
        material_id,
        arg_max(calibration_due, week) as is_due,
        arg_max_null(calibrated_at, week) as calibrated_at,
        arg_max_null(calibration_age_days, week) as age_days
    from reconciliation
    group by truck_id, material_id
),
latest_calibrations as (
    select truck_id, material_id, max("at") as calibrated_at
    from calibrations
    group by truck_id, material_id
),
calibrations_due as (
    select
        if(latest_weeks.calibrated_at is null, 'never_calibrated', 'calibration_due')
            as finding_code,
        'truck' as subject_kind,
        latest_weeks.truck_id as subject_id,
        latest_weeks.calibrated_at as since_at,
        latest_weeks.age_days as amount,
        'day' as unit,
        latest_weeks.material_id as name
    from latest_weeks
    left join latest_calibrations using (truck_id, material_id)
    where latest_weeks.is_due
        and latest_calibrations.calibrated_at is not distinct from latest_weeks.calibrated_at
),
loads as (
    select stockpile_id, material_id, max(-amount_lb) as largest_lb
    from stock_book
    where event = 'load out'
    group by stockpile_id, material_id
),
counts_apart as (
    select
        if(stock_book.difference_lb < 0, 'shrinkage', 'count_above_book') as finding_code,
        'stockpile' as subject_kind,
        stock_book.stockpile_id as subject_id,
        stock_book."at" as since_at,
        stock_book.difference_lb as amount,
        'pound' as unit,
        stock_book.material_id as name,
        stock_book.counted_before_at as from_at,
        stock_book."at" as to_at
    from stock_book
    inner join loads using (stockpile_id, material_id)
    where abs(stock_book.difference_lb) > 2 * loads.largest_lb
),
negative as (
    select
        'negative_stock' as finding_code,
        'stockpile' as subject_kind,
        stockpile_id as subject_id,
        min("at") as since_at,
        min(book_lb) as amount,
        'pound' as unit,
        material_id as name
    from stock_book
    where book_lb < 0
    group by stockpile_id, material_id
)
select * from wrong_settings
union all by name select * from calibrations_due
union all by name select * from counts_apart
union all by name select * from negative
union all by name select * from truck_drifts
order by finding_code, subject_kind, subject_id, since_at nulls first, name;
