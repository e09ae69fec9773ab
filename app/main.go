// Strokeledger turns training clips of table tennis into fault rates per player
// and drill. Without a command it opens the window.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
)

// garbage is how much of it there may be before it is cleared, in hundredths of the
// live memory: less than usual, since most of the memory is pictures, which are
// large and refer to nothing.
const garbage = 50

func main() {
	debug.SetGCPercent(garbage)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}
