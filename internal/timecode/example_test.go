package timecode_test

import (
	"fmt"

	"strokeledger/internal/timecode"
)

func ExampleBase_Seconds() {
	base := timecode.Base{Num: 1, Den: 12800}
	fmt.Println(base, base.Seconds(6400))
	// Output: 1/12800 0.5
}

// 29.97 pictures a second have no whole number of milliseconds: ticks lose nothing.
func ExampleBase_Ticks() {
	base := timecode.Base{Num: 1001, Den: 30000}
	fmt.Println(base.Ticks(base.Seconds(107892)))
	// Output: 107892
}

func ExampleRescale() {
	milliseconds, film := timecode.Base{Num: 1, Den: 1000}, timecode.Base{Num: 1, Den: 12800}
	fmt.Println(timecode.Rescale(40, milliseconds, film), timecode.Rescale(512, film, milliseconds))
	// Output: 512 40
}
