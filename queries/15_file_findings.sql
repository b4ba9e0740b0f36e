-- file_findings: files that never rest, so that their last rows always come a night late.
-- grain:   one row per finding_code, subject_id
-- reads:   growing_files
-- units:   amount night in a row
-- empty:   a file that changed while it was read on one night alone has no row
-- formula: own rule: from the second night in a row on
create or replace table file_findings as
select
    'never_at_rest' as finding_code,
    'file' as subject_kind,
    feed || '/' || file as subject_id,
    cast(nights as double) as amount,
    'count' as unit
from growing_files
where nights >= 2
order by subject_id;
