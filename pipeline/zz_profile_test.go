package pipeline

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestZZProfile(t *testing.T) {
	d := newDistrict(t)
	d.drawRoutes()
	for i := range 60 {
		require.NoError(t, d.ledger.Exec(t.Context(), fmt.Sprintf("insert into trucks by name select 'K%02d' as truck_id", i)))
	}
	require.NoError(t, os.MkdirAll(filepath.Join(d.dir, "inbox/breadcrumbs"), 0o755))
	total := 0
	for day := range 3 {
		f, err := os.Create(filepath.Join(d.dir, fmt.Sprintf("inbox/breadcrumbs/day-%02d.csv", day)))
		require.NoError(t, err)
		w := bufio.NewWriterSize(f, 1<<20)
		w.WriteString("truck_id,at,lat,lon,speed_mph,spreading,rate_lb_per_lane_mi,dispensed_total_lb,material_id,plow_down,lanes,crew_id\n")
		for i := range 5800 {
			at := stormNight().Add(time.Duration(day)*24*time.Hour + time.Duration(i)*10*time.Second)
			text := at.Format(time.RFC3339)
			for k := range 60 {
				phase := (i + 17*k) % 240
				mile := float64(phase) / 12
				if phase >= 120 {
					mile = 20 - mile
				}
				lon := crumbLon + mile*degreesAMileEast
				fmt.Fprintf(w, "K%02d,%s,%.6f,%.6f,%.1f,true,%d,%.1f,nacl,true,1,north\n", k, text, crumbLat+0.00001*float64((i*7+k*3)%9), lon, 30.0, 250, float64(i)*20)
				total++
			}
		}
		require.NoError(t, w.Flush())
		require.NoError(t, f.Close())
	}
	began := time.Now()
	d.load()
	took := time.Since(began)
	fmt.Printf("%d points in %v: %.2f us a point\n", total, took, took.Seconds()*1e6/float64(total))
	began = time.Now()
	d.load()
	fmt.Println("again", time.Since(began))
	began = time.Now()
	d.tell()
	fmt.Println("tell", time.Since(began), d.rows("select count(*), sum(dispensed_lb) from passes"))
}
