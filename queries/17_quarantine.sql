-- quarantine: every delivered row that is set aside tonight, why, and what to do; and every file
--          that cannot be read.
-- grain:   one row per feed, file, line
-- reads:   code_words, delivery_files, files_in_force, raw_breadcrumbs, conditions_told,
--          raw_conditions, passes_told, raw_passes, stock_told, raw_stock, tickets_told,
--          raw_tickets, observations_told, raw_weather
-- units:   line line of the file, 0 for a file that cannot be read; raw text, at most 4 KiB of the
--          row
-- empty:   column is empty where the whole row or file is at fault; raw is empty for a file
-- formula: bytes that are no text are written as \xHH; the words are those of the code, the public
--          columns without what was delivered
create or replace table quarantine as
with set_aside_rows as (
    select files_in_force.feed, files_in_force.file, raw.line, raw.fault_column, raw.fault_code,
        raw.fault_found, raw.fault_wanted, raw.raw
    from raw_breadcrumbs as raw
    inner join files_in_force
        on files_in_force.feed = 'breadcrumbs' and files_in_force.sha256 = raw.sha256
    union all
    select 'conditions' as feed, told.file, told.line, told.fault_column, told.fault_code,
        told.fault_found, told.fault_wanted, raw.raw
    from conditions_told as told
    inner join raw_conditions as raw on raw.sha256 = told.sha256 and raw.line = told.line
    where told.status = 'quarantined'
    union all
    select 'passes' as feed, told.file, told.line, told.fault_column, told.fault_code,
        told.fault_found, told.fault_wanted, raw.raw
    from passes_told as told
    inner join raw_passes as raw on raw.sha256 = told.sha256 and raw.line = told.line
    where told.status = 'quarantined'
    union all
    select 'stock' as feed, told.file, told.line, told.fault_column, told.fault_code,
        told.fault_found, told.fault_wanted, raw.raw
    from stock_told as told
    inner join raw_stock as raw on raw.sha256 = told.sha256 and raw.line = told.line
    where told.status = 'quarantined'
    union all
    select 'tickets' as feed, told.file, told.line, told.fault_column, told.fault_code,
        told.fault_found, told.fault_wanted, raw.raw
    from tickets_told as told
    inner join raw_tickets as raw on raw.sha256 = told.sha256 and raw.line = told.line
    where told.status = 'quarantined'
    union all
    select 'weather' as feed, told.file, told.line, told.fault_column, told.fault_code,
        told.fault_found, told.fault_wanted, raw.raw
    from observations_told as told
    inner join raw_weather as raw on raw.sha256 = told.sha256 and raw.line = told.line
    where told.status = 'quarantined'
),

cut as (
    select
        *,
        list_transform([4096, 4095, 4094, 4093], lambda size: try(decode(raw[1:size]))) as texts
    from set_aside_rows
),

told as (
    select
        feed,
        file,
        line,
        fault_column as "column",
        fault_code,
        coalesce(fault_found, '') as found,
        coalesce(fault_wanted, '') as wanted,
        case
            when contains(coalesce(texts[1], texts[2], texts[3], texts[4], chr(0)), chr(0))
                then left(cast(raw[1:1024] as varchar), 4096)
            else coalesce(texts[1], texts[2], texts[3], texts[4])
        end as raw
    from cut
    union all
    select feed, file, 0 as line, null as "column", unreadable_code as fault_code,
        coalesce(unreadable_found, '') as found, '' as wanted, null as raw
    from delivery_files
    where unreadable_code is not null
),

worded as (
    select
        told.*,
        list_transform([words.public_reason, words.public_remedy, words.reason, words.remedy],
            lambda text: replace(replace(text, '{column}', coalesce(told."column", '')), '{wanted}',
                told.wanted)) as texts
    from told
    left join code_words as words on words.code = told.fault_code
)

select
    feed,
    file,
    line,
    "column",
    replace(texts[3], '{found}', found) as reason,
    replace(texts[4], '{found}', found) as remedy,
    raw,
    if(fault_code = 'header_twice', null, "column") as public_column,
    texts[1] as public_reason,
    texts[2] as public_remedy
from worded
order by feed, file, line;
