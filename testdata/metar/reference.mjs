// Decodes reports, one a line, with a general-purpose reference library and prints what it found as JSON, one report a line.
// Usage: npm ci; node reference.mjs FILE > FILE.expected.jsonl
import { readFileSync } from "node:fs";
import { parseMetar } from "metar-taf-parser";

const issued = new Date(Date.UTC(2029, 0, 15)); // any month: the day and hour alone are compared

function remarksOf(remarks) {
  const out = {};
  for (const r of remarks) {
    switch (r.type) {
      case "HourlyPrecipitationAmount": out.hour_in = r.amount; break;
      case "PrecipitationAmount36Hour": out.six_in = r.amount; break;
      case "PrecipitationAmount24Hour": out.day_in = r.amount; break;
      case "SnowDepth": out.depth_in = r.depth; break;
      case "SnowIncrease": out.rise_in = r.inchesLastHour; out.rise_depth_in = r.totalDepth; break;
      case "HourlyTemperatureDewPoint": out.air_c = r.temperature; out.dew_c = r.dewPoint; break;
      case "PrecipitationBeg": case "PrecipitationEnd": case "PrecipitationBegEnd":
        (out.events ??= []).push(...eventsOf(r)); break;
    }
  }
  return out;
}

function eventsOf(r) {
  const weather = (r.descriptive ?? "") + r.phenomenon;
  const two = (n) => String(n).padStart(2, "0");
  const time = (hour, min) => (hour === undefined ? "" : two(hour)) + two(min);
  const events = [];
  if (r.startMin !== undefined) events.push(weather + "B" + time(r.startHour, r.startMin));
  if (r.endMin !== undefined) events.push(weather + "E" + time(r.endHour, r.endMin));
  return events;
}

function decode(line) {
  const report = line.replace(/^\d{4}-\d\d-\d\dT\d\d:\d\dZ /, "");
  let m;
  try {
    m = parseMetar(report, { issued });
  } catch (error) {
    return { line, error: error.name };
  }
  const of = m.remarks ? remarksOf(m.remarks) : {};
  return {
    line,
    station: m.station,
    time: [m.day, m.hour, m.minute],
    auto: m.auto,
    wind: m.wind && [m.wind.degrees ?? m.wind.direction, m.wind.speed, m.wind.gust, m.wind.unit],
    wind_range: m.wind?.minVariation === undefined ? undefined : [m.wind.minVariation, m.wind.maxVariation],
    visibility: m.visibility && [m.visibility.indicator ?? "", m.visibility.value, m.visibility.unit],
    weather: m.weatherConditions.map((w) => (w.intensity ?? "") + (w.descriptive ?? "") + w.phenomenons.join("")),
    body_air_c: m.temperature,
    body_dew_c: m.dewPoint,
    ...of,
  };
}

const lines = readFileSync(process.argv[2], "utf8").split("\n").filter((line) => line !== "");
console.log(lines.map((line) => JSON.stringify(decode(line))).join("\n"));
