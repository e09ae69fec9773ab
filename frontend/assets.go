// Package frontend carries the built page inside the program.
package frontend

import "embed"

// Dist holds the page as built by `npm run build`; before the first build it
// holds only a marker file, so that the Go code compiles on a fresh clone.
//
//go:embed all:dist
var Dist embed.FS
