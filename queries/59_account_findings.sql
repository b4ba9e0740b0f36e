-- account_findings: what weighed loads, calibrations and counts ask a person to check; 60 puts them beside the other findings.
-- grain:   one row per kind, subject_kind, subject_id, since_at, detail
-- reads:   reconciliation, calibrations, stock_book, run
-- units:   amount, in the unit that detail names
-- empty:   since_at where a truck was never calibrated; amount likewise
-- formula: definitions, "Reconciliation" and "Stock outlook". A count that differs from its book by more than the two largest loads weighed out
--          of the pile is a finding: one or two lost tickets explain less (our choice)
create or replace table account_findings as
with wrong_settings as (
    select
        'wrong setting' as kind,
        'truck' as subject_kind,
        reconciliation.truck_id as subject_id,
        timezone(any_value(run.time_zone), cast(min(reconciliation.week) as timestamp)) as since_at,
        arg_max(reconciliation.running_ratio, reconciliation.week) as amount,
        concat('weighed for each 1 spread of ', reconciliation.material_id, ' in the weeks of ', min(reconciliation.week), ' to ',
            max(reconciliation.week), ': ', reconciliation.finding, ' Check the spreader setting') as detail
    from reconciliation
    cross join run
    where starts_with(reconciliation.finding, 'set for ')
    group by reconciliation.truck_id, reconciliation.material_id, reconciliation.finding
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
        'calibration due' as kind,
        'truck' as subject_kind,
        latest_weeks.truck_id as subject_id,
        latest_weeks.calibrated_at as since_at,
        latest_weeks.age_days as amount,
        case
            when latest_weeks.calibrated_at is null
                then concat('no calibration with ', latest_weeks.material_id, ' on record: check and calibrate')
            else concat('days between the last calibration with ', latest_weeks.material_id, ' and the last week of spreading: check and calibrate')
        end as detail
    from latest_weeks
    left join latest_calibrations
        on latest_calibrations.truck_id = latest_weeks.truck_id and latest_calibrations.material_id = latest_weeks.material_id
    where latest_weeks.is_due and latest_calibrations.calibrated_at is not distinct from latest_weeks.calibrated_at
),
loads as (
    select stockpile_id, material_id, max(-amount_lb) as largest_lb
    from stock_book
    where event = 'load out'
    group by stockpile_id, material_id
),
counts_apart as (
    select
        case when stock_book.difference_lb < 0 then 'shrinkage' else 'count above book' end as kind,
        'stockpile' as subject_kind,
        stock_book.stockpile_id as subject_id,
        stock_book."at" as since_at,
        stock_book.difference_lb as amount,
        concat('lb between the count of ', stock_book.material_id, ' on ', cast(timezone(run.time_zone, stock_book."at") as date),
            ' and its book since the count on ', cast(timezone(run.time_zone, stock_book.counted_before_at) as date),
            ': check tickets, deliveries and both counts') as detail
    from stock_book
    cross join run
    inner join loads on loads.stockpile_id = stock_book.stockpile_id and loads.material_id = stock_book.material_id
    where abs(stock_book.difference_lb) > 2 * loads.largest_lb
),
negative as (
    select
        'negative stock' as kind,
        'stockpile' as subject_kind,
        stockpile_id as subject_id,
        min("at") as since_at,
        min(book_lb) as amount,
        concat('lb of ', material_id, ' at the lowest by the book: check tickets, deliveries and the last count') as detail
    from stock_book
    where book_lb < 0
    group by stockpile_id, material_id
),
found as (
    select * from wrong_settings
    union all by name
    select * from calibrations_due
    union all by name
    select * from counts_apart
    union all by name
    select * from negative
)
select kind, subject_kind, subject_id, cast(null as varchar) as storm_id, since_at, amount, detail
from found
order by kind, subject_kind, subject_id, since_at nulls first, detail;
