-- account_findings: x
create or replace table account_findings as
select 'a' as kind, 'a' as subject_kind, 'a' as subject_id, cast(null as varchar) as storm_id, cast(null as timestamptz) as since_at, 0 as amount, 'x' as detail where false
order by all;
