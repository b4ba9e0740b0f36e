-- observations_used: the observations in force without the temperatures that are left out.
-- grain:   one row per station_id, observed_at
-- reads:   observations, weather_left_out
-- units:   as in observations
-- empty:   air_f or surface_f also where weather_left_out leaves it out
-- formula: definitions, "Storms", last sentence
create or replace view observations_used as
select
    observations.* replace (
        case when not coalesce(weather_left_out.leaves_air, false)
            then observations.air_f end as air_f,
        case when not coalesce(weather_left_out.leaves_surface, false)
            then observations.surface_f end as surface_f
    )
from observations
left join weather_left_out using (station_id, observed_at);
