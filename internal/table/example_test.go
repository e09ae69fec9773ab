package table_test

import (
	"fmt"

	"strokeledger/internal/table"
)

func ExampleFit() {
	// Clicked in a picture of 1280 by 720, the near end line first.
	camera, err := table.Fit(table.Clicks{Width: 1280, Height: 720,
		Corners: [4]table.Point{{X: 659, Y: 393}, {X: 329, Y: 324}, {X: 700, Y: 231}, {X: 951, Y: 258}},
		Tops:    []table.Point{{X: 882, Y: 276}, {X: 532, Y: 234}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	toe, err := camera.Floor(table.Point{X: 455, Y: 624}, 3)
	if err != nil {
		fmt.Println(err)
		return
	}
	distance, half, err := toe.From(table.EndLine)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f cm from the table (±%.0f)\n", 100*distance, 100*half)
	// Output: 40 cm from the table (±5)
}
