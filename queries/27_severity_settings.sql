-- severity_settings: the settings of severity, side by side.
-- grain:   one row
-- reads:   severity_classes
-- units:   _h hour; _f degree Fahrenheit; _in inch; _mph mile per hour; the others numbers
-- empty:   none
-- formula: methods, severity: the rows of factor setting, a column each
create or replace view severity_settings as
select *
from (select class, value from severity_classes where factor = 'setting')
pivot (max(value) for class in (
    'a', 'b', 'icing_one_in', 'snow_per_water', 'snow_span_h', 'depth_h', 'before_h', 'last_h',
    'after_h', 'day_reports_h', 'cold_day_max_f', 'snowfall_in', 'snow_cover_in', 'windy_mph'
));
