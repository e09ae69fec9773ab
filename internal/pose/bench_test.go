package pose

import (
	"image"
	"os"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// larger is the drawn hall in as many times as many rows and columns.
func larger(t testing.TB, times int) *image.RGBA {
	from := hall(t)
	to := image.NewRGBA(image.Rect(0, 0, from.Rect.Dx()*times, from.Rect.Dy()*times))
	for y := range to.Rect.Dy() {
		for x := range to.Rect.Dx() {
			to.SetRGBA(x, y, from.RGBAAt(x/times, y/times))
		}
	}
	return to
}

// onOneCore reports the processor's time beside the clock's, which other programs make
// longer.
func onOneCore(b *testing.B, one func()) {
	var before, after syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &before))
	n := 0
	for b.Loop() {
		one()
		n++
	}
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &after))
	spent := after.Utime.Nano() + after.Stime.Nano() - before.Utime.Nano() - before.Stime.Nano()
	b.ReportMetric(float64(spent)/1e6/float64(n), "cpu-ms/op")
}

// BenchmarkFollow is a picture in which the player is followed from the one before, and
// BenchmarkPeople one in which everybody is searched for.
func BenchmarkFollow(b *testing.B) {
	for _, times := range []int{2, 5} {
		img := larger(b, times)
		b.Run(strconv.Itoa(img.Rect.Dy())+" rows", func(b *testing.B) {
			f, err := New()
			require.NoError(b, err)
			w := f.Follow(nil)
			onOneCore(b, func() {
				_, ok := w.Next(img)
				require.True(b, ok)
			})
		})
	}
}

func BenchmarkPeople(b *testing.B) {
	f, err := New()
	require.NoError(b, err)
	img := larger(b, 3)
	onOneCore(b, func() { require.NotEmpty(b, f.People(img)) })
}

// BenchmarkManyPictures follows somebody through 3,000 pictures of three sizes and tells
// by how much the program has grown since the first 150.
func BenchmarkManyPictures(b *testing.B) {
	f, err := New()
	require.NoError(b, err)
	pictures := []*image.RGBA{larger(b, 1), larger(b, 3), larger(b, 5)}
	for b.Loop() {
		begun := 0
		for i := range 60 {
			w := f.Follow(nil)
			for range 50 {
				_, ok := w.Next(pictures[i%3])
				require.True(b, ok)
			}
			if i == 2 {
				begun = resident(b)
			}
		}
		grown := resident(b) - begun
		b.ReportMetric(float64(begun)/1024, "MB-held")
		b.ReportMetric(float64(grown)/1024, "MB-grown")
		require.Less(b, grown, 8<<10)
	}
}

// resident is the memory of this process, kB.
func resident(b *testing.B) int {
	runtime.GC()
	debug.FreeOSMemory()
	status, err := os.ReadFile("/proc/self/status")
	require.NoError(b, err)
	_, rest, _ := strings.Cut(string(status), "VmRSS:")
	kB, err := strconv.Atoi(strings.Fields(rest)[0])
	require.NoError(b, err)
	return kB
}
