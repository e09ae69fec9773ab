package contact_test

import (
	"fmt"

	"strokeledger/internal/contact"
)

// The sound did not tell which is the racket; the coach says that a stroke was at 1.21 s.
func ExampleAnchor() {
	heard := []contact.Contact{
		{Seconds: 1, Kind: contact.Racket, Confidence: .55, Turned: contact.Bounce, Alone: .97},
		{Seconds: 1.2, Kind: contact.Bounce, Confidence: .55, Turned: contact.Racket, Alone: .96},
	}
	fmt.Println("unsure:", contact.Unsure(heard))
	for _, c := range contact.Anchor(heard, []float64{1.21}, .06) {
		fmt.Println(c.Seconds, c.Kind, c.Confidence)
	}
	// Output:
	// unsure: true
	// 1 bounce 0.97
	// 1.2 racket 0.96
}
