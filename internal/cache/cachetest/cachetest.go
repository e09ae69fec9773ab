// Package cachetest helps tests to hold that every field of what is cached comes back.
package cachetest

import (
	"reflect"
	"strconv"
	"testing"
	"time"
)

// Fill puts something else into every field of a value that all reaches, also those
// that are new, so that one which is not cached is missed. Maps it leaves empty.
func Fill[T any](t testing.TB, all *T) {
	t.Helper()
	n := 0
	fill(t, reflect.ValueOf(all).Elem(), &n)
}

func fill(t testing.TB, v reflect.Value, n *int) {
	t.Helper()
	*n++
	switch {
	case v.Type() == reflect.TypeFor[time.Time]():
		v.Set(reflect.ValueOf(time.Date(2026, 3, 14, 15, 9, *n%60, 535_000_000, time.FixedZone("", 5400))))
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			fill(t, v.Field(i), n)
		}
	case v.Kind() == reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		for i := range v.Len() {
			fill(t, v.Index(i), n)
		}
	case v.Kind() == reflect.Map:
	case v.Kind() == reflect.String:
		v.SetString("text " + strconv.Itoa(*n))
	case v.Kind() == reflect.Bool:
		v.SetBool(true)
	case v.CanInt():
		v.SetInt(int64(*n))
	case v.CanUint():
		v.SetUint(uint64(*n % 256))
	case v.CanFloat():
		v.SetFloat(float64(*n) / 8)
	default:
		t.Fatalf("no value for a %s", v.Type())
	}
}
