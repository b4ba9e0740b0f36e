-- lost_rows: files in force that told more last night than tonight, by more than gate_rows_pct.
-- grain:   one row per feed, file
-- reads:   last_intake, delivery_files, contents, intake, run
-- units:   was_rows, lost_rows row, duplicates and corrections apart
-- empty:   no rows while nothing is published; sha256 of a file that is known no longer
-- formula: own rule: rows read then, less rows read now, less the duplicates and corrections that
--          went: these told nothing of their own. A content that is refused whole now tells
--          nothing, and one that was may go. A feed that loses more than its share loses it in
--          some file
create or replace table lost_rows as
with files as (
    select
        was.feed,
        was.file,
        delivery_files.sha256,
        was.rows_read - was.again_rows as was_rows,
        was.rows_read - case
            when was.rows_read = was.quarantined then coalesce(contents.row_count, was.rows_read)
            when contents.fault_code is null then coalesce(contents.row_count, 0)
            else 0 end
            - greatest(was.again_rows - coalesce(now.duplicates + now.corrections, 0), 0)
            as lost_rows
    from (
        select *, coalesce(duplicates, 0) + coalesce(corrections, 0) as again_rows from last_intake
    ) as was
    left join delivery_files using (feed, file)
    left join contents
        on contents.feed = was.feed and contents.sha256 = delivery_files.sha256
    left join intake as now using (feed, file)
)
select files.*
from files
cross join run
where lost_rows * 100 > run.gate_rows_pct * was_rows
order by feed, file;
