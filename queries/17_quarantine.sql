-- quarantine: the delivered rows that are set aside tonight, why, and what to do, of each file and
--          reason so many; what the others are; and every file that cannot be read.
-- grain:   one row per feed, file, line, reason
-- reads:   run, code_words, delivery_files, files_in_force, rows_left_out, rows_told
-- units:   line line of the file, 0 for a file that cannot be read; raw text, at most 4 KiB of the
--          row; rows row
-- empty:   column is empty where the whole row or file is at fault; raw is empty for a file; line,
--          column and raw for the rows beyond quarantine_listed of a file and reason
-- formula: bytes that are no text are written as \xHH; the words are those of the code, the public
--          columns without what was delivered
create or replace table quarantine as
with aside as (
    select feed, file, line, fault_column, fault_code, fault_found, fault_wanted, raw, 1 as "rows"
    from rows_told
    where status = 'quarantined'
    union all by name
    select files_in_force.feed, files_in_force.file, rows_left_out.fault_code, rows_left_out."rows"
    from rows_left_out
    inner join files_in_force using (feed, sha256)
    union all by name
    select feed, file, 0 as line, unreadable_code as fault_code, unreadable_found as fault_found,
        greatest(unreadable_rows, 1) as "rows"
    from delivery_files
    where unreadable_code is not null
),

counted as (
    select
        aside.*,
        words.reason as reason_words,
        list_transform([words.public_reason, words.public_remedy, words.reason, words.remedy],
            lambda text: replace(replace(text, '{column}', coalesce(fault_column, '')), '{wanted}',
                coalesce(fault_wanted, ''))) as texts,
        line is not null and run.quarantine_listed >= row_number() over (
            partition by feed, file, words.reason order by line nulls last) as is_listed
    from aside
    cross join run
    left join code_words as words on words.code = aside.fault_code
),

decoded as (
    select
        *,
        list_transform([4096, 4095, 4094, 4093], lambda size: try(decode(raw[1:size]))) as tries
    from counted
    where is_listed
),

told as (
    select
        feed,
        file,
        line,
        fault_column as "column",
        replace(texts[3], '{found}', coalesce(fault_found, '')) as reason,
        replace(texts[4], '{found}', coalesce(fault_found, '')) as remedy,
        case
            when contains(coalesce(tries[1], tries[2], tries[3], tries[4], chr(0)), chr(0))
                then left(cast(raw[1:1024] as varchar), 4096)
            else coalesce(tries[1], tries[2], tries[3], tries[4])
        end as raw,
        if(fault_code = 'header_twice', null, fault_column) as public_column,
        texts[1] as public_reason,
        texts[2] as public_remedy,
        "rows"
    from decoded
    union all by name
    select feed, file, any_value(texts[1]) as reason, any_value(further.remedy) as remedy,
        any_value(texts[1]) as public_reason, any_value(further.remedy) as public_remedy,
        cast(sum("rows") as bigint) as "rows"
    from counted
    inner join code_words as further on further.code = 'further_rows'
    where not is_listed
    group by feed, file, reason_words
)

select *
from told
order by feed, file, line nulls last, reason;
