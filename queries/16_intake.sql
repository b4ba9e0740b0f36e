-- intake: what became of the rows of each delivered file.
-- grain:   one row per feed, file
-- reads:   delivery_files, contents, files_in_force, crumb_counts, rows_left_out, rows_told
-- units:   rows_read, accepted, duplicates, corrections, quarantined row
-- empty:   all counts are 0 where no row could ever be read, and sha256 is empty where the bytes
--          could not: then its rows, where it tells them, are set aside; same_as is empty where the
--          file counts itself
-- formula: rows_read = accepted + duplicates + corrections + quarantined
create or replace table intake as
with told as (
    select feed, file, status, 1 as "rows"
    from rows_told
    union all
    select files_in_force.feed, files_in_force.file,
        unnest(['accepted', 'duplicate', 'correction']) as status,
        unnest([crumb_counts.accepted, crumb_counts.duplicates, crumb_counts.corrections]) as "rows"
    from crumb_counts
    inner join files_in_force
        on files_in_force.feed = 'breadcrumbs' and files_in_force.sha256 = crumb_counts.sha256
    union all
    select files_in_force.feed, files_in_force.file, 'quarantined' as status, rows_left_out."rows"
    from rows_left_out
    inner join files_in_force using (feed, sha256)
),

counts as (
    select
        feed,
        file,
        cast(sum("rows") filter (where status = 'accepted') as bigint) as accepted,
        cast(sum("rows") filter (where status = 'duplicate') as bigint) as duplicates,
        cast(sum("rows") filter (where status = 'correction') as bigint) as corrections,
        cast(sum("rows") filter (where status = 'quarantined') as bigint) as quarantined
    from told
    group by feed, file
)

select
    delivery_files.feed,
    delivery_files.file,
    left(coalesce(delivery_files.sha256, delivery_files.unreadable_sha256), 64) as sha256,
    nullif(files_in_force.file, delivery_files.file) as same_as,
    case when files_in_force.file = delivery_files.file then contents.row_count
        when delivery_files.sha256 is null then coalesce(delivery_files.unreadable_rows, 0)
        else 0 end as rows_read,
    coalesce(counts.accepted, 0) as accepted,
    coalesce(counts.duplicates, 0) as duplicates,
    coalesce(counts.corrections, 0) as corrections,
    case when delivery_files.sha256 is null then coalesce(delivery_files.unreadable_rows, 0)
        else coalesce(counts.quarantined, 0) end as quarantined
from delivery_files
left join contents using (feed, sha256)
left join files_in_force using (feed, sha256)
left join counts on counts.feed = delivery_files.feed and counts.file = delivery_files.file
order by delivery_files.feed, delivery_files.file;
