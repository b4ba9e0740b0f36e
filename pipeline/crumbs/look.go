package crumbs

import (
	"errors"
	"slices"

	"lanetally/pipeline/trace"
)

// Look opens the store in a folder to read it, while a night may be at work in it.
func Look(dir Dir, names *Names, settings trace.Settings) *Store {
	return &Store{dir: dir, names: names, settings: settings, checked: map[string]bool{}}
}

// Points gives the positions in force of a truck on the days of traces that may reach into a time, in time order.
func (s *Store) Points(truck string, atMS int64) (points []trace.Point, err error) {
	for day := DayOf(atMS) - daysBefore; day <= DayOf(atMS)+daysAfter; day++ {
		if points, err = s.pointsOn(day, truck, points); err != nil {
			return nil, err
		}
	}
	return points, nil
}

// pointsOn adds those of a day's file: of each time the last row is the one in force.
func (s *Store) pointsOn(day Day, truck string, points []trace.Point) (_ []trace.Point, err error) {
	rows, err := openRows(s, day)
	if err != nil || rows == nil {
		return points, err
	}
	defer func() { err = errors.Join(err, rows.close()) }()
	for row := rows.head(); row != nil; row = rows.head() {
		if s.names.Text(row.Truck) == truck {
			if last := len(points) - 1; last >= 0 && points[last].AtMS == row.Point.AtMS {
				points = slices.Delete(points, last, last+1)
			}
			points = append(points, row.Point)
		}
		if err := rows.step(); err != nil {
			return nil, err
		}
	}
	return points, nil
}
