package scenario

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/compress"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"

	"lanetally/pipeline/scenario/land"
)

var weatherHeader = []string{"station_id", "observed_at", "air_f", "surface_f", "dew_f", "wind_mph", "gust_mph", "wind_deg",
	"visibility_mi", "precip_in", "present_wx", "snow_depth_in"}

// parquetMonth comes as Parquet; the months of gzipMonths come packed.
const parquetMonth = "2028-12"

var gzipMonths = []string{"2027-12", "2028-01", "2029-01"}

// overlapRows are told again at the begin of a month's file, as a station's buffer does.
const overlapRows = 18

// weatherDeliveries is one file a month (UTC), station after station.
func weatherDeliveries(stations [][]land.Report) ([]*delivery, error) {
	var all []*delivery
	month := ""
	for _, r := range stations[0] {
		if r.At.Format("2006-01") == month {
			continue
		}
		month = r.At.Format("2006-01")
		f, err := weatherMonth(stations, month)
		if err != nil {
			return nil, err
		}
		all = append(all, f)
	}
	return all, nil
}

func weatherMonth(stations [][]land.Report, month string) (*delivery, error) {
	f := &delivery{feed: "weather", name: "weather-" + month + ".csv", header: weatherHeader}
	if f.isGzip = slices.Contains(gzipMonths, month); f.isGzip {
		f.name += ".gz"
	}
	for z, reports := range stations {
		for i, r := range reports {
			if r.At.Format("2006-01") != month {
				continue
			}
			if month == "2028-02" && z == 1 && r.At.Day() == 1 && r.At.Hour() == 0 && r.At.Minute() < 20 {
				for _, old := range reports[i-overlapRows : i] {
					f.lines = append(f.lines, line{cells: weatherCells(old), fate: fateDuplicate})
				}
			}
			f.add(z < len(land.SheetZones) && isFarFromWeather(reports, i), weatherCells(r)...)
		}
	}
	if month != parquetMonth {
		return f, nil
	}
	for i := range f.lines {
		f.lines[i].isPlain = false
	}
	var err error
	f.name = "weather-" + month + ".parquet"
	f.body, err = weatherParquet(f)
	return f, err
}

// isFarFromWeather: no storm's means rest on the report, so that it may be damaged.
func isFarFromWeather(reports []land.Report, i int) bool {
	const hours8 = 24
	for k := max(0, i-hours8); k < min(len(reports), i+hours8); k++ {
		if reports[k].Wx != "" {
			return false
		}
	}
	return !reports[i].IsFaulty
}

func weatherCells(r land.Report) []string {
	precip := text(r.PrecipIn)
	if r.IsTrace {
		precip = "T"
	}
	surface := ""
	if r.HasSurface {
		surface = text(r.SurfaceF)
	}
	return []string{land.Zones[r.Zone].StationID, r.At.Format("2006-01-02T15:04Z"), text(r.AirF), surface, text(r.DewF), text(r.WindMph),
		textOrEmpty(r.GustMph), text(r.WindDeg), text(r.VisibilityMi), precip, r.Wx, text(r.SnowDepthIn)}
}

// weatherParquet has the feed's columns typed: instants in UTC, doubles, and text where T may stand.
func weatherParquet(f *delivery) ([]byte, error) {
	kinds := map[string]arrow.DataType{"station_id": arrow.BinaryTypes.String, "precip_in": arrow.BinaryTypes.String,
		"present_wx": arrow.BinaryTypes.String, "observed_at": &arrow.TimestampType{Unit: arrow.Microsecond, TimeZone: "UTC"}}
	var fields []arrow.Field
	for _, name := range f.header {
		fields = append(fields, arrow.Field{Name: name, Type: cmp.Or[arrow.DataType](kinds[name], arrow.PrimitiveTypes.Float64),
			Nullable: name != "observed_at"})
	}
	schema := arrow.NewSchema(fields, nil)
	build := array.NewRecordBuilder(memory.DefaultAllocator, schema)
	defer build.Release()
	for _, l := range f.lines {
		for i, cell := range l.cells {
			if cell == "" {
				build.Field(i).AppendNull()
			} else if err := build.Field(i).AppendValueFromString(cell); err != nil {
				return nil, fmt.Errorf("weather of %s: %w", parquetMonth, err)
			}
		}
	}
	record := build.NewRecordBatch()
	defer record.Release()
	var body bytes.Buffer
	packed := parquet.NewWriterProperties(parquet.WithCompression(compress.Codecs.Zstd))
	out, err := pqarrow.NewFileWriter(schema, &body, packed, pqarrow.DefaultWriterProps())
	if err == nil {
		err = errors.Join(out.Write(record), out.Close())
	}
	if err != nil {
		return nil, fmt.Errorf("weather of %s: %w", parquetMonth, err)
	}
	return body.Bytes(), nil
}
