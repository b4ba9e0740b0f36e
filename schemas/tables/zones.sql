create or replace table zones (zone_id varchar not null, name varchar not null, district_id varchar not null);
