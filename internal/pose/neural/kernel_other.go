//go:build !cgo || !amd64

package neural

// kernels are the kinds of arithmetic that this machine can do, the fastest first.
func kernels() []kernel { return []kernel{plain()} }
