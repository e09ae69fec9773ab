package main

import (
	"fmt"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/alecthomas/kong"
)

// plainNumber is a number as people write one; the parser's own way also takes
// 0x10, 1_000, inf and 010 for eight.
var plainNumber = regexp.MustCompile(`^-?[0-9]+(\.[0-9]+)?$`)

// plainly makes the parser take numbers in plain decimals only, and refuse a value
// for a flag that takes none.
func plainly() kong.Option {
	return kong.OptionFunc(func(k *kong.Kong) error {
		for kind, m := range map[reflect.Kind]kong.Mapper{
			reflect.Int: wholeNumber(), reflect.Int64: wholeNumber(), reflect.Float64: decimal(), reflect.Bool: said{},
		} {
			if err := kong.KindMapper(kind, m).Apply(k); err != nil {
				return err
			}
		}
		return nil
	})
}

func wholeNumber() kong.MapperFunc {
	return func(ctx *kong.DecodeContext, target reflect.Value) error {
		var text string
		if err := ctx.Scan.PopValueInto("number", &text); err != nil {
			return err
		}
		n, err := strconv.ParseInt(text, 10, 64)
		if err != nil || !plainNumber.MatchString(text) || target.OverflowInt(n) {
			return fmt.Errorf("expected a whole number but got %q", text)
		}
		target.SetInt(n)
		return nil
	}
}

func decimal() kong.MapperFunc {
	return func(ctx *kong.DecodeContext, target reflect.Value) error {
		var text string
		if err := ctx.Scan.PopValueInto("number", &text); err != nil {
			return err
		}
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || !plainNumber.MatchString(text) || math.IsInf(v, 0) {
			return fmt.Errorf("expected a number but got %q", text)
		}
		target.SetFloat(v)
		return nil
	}
}

// said is a flag without a value: given or not.
type said struct{}

func (said) IsBool() bool { return true }
func (said) Decode(ctx *kong.DecodeContext, target reflect.Value) error {
	if ctx.Scan.Peek().Type != kong.FlagValueToken {
		target.SetBool(true)
		return nil
	}
	v := ctx.Scan.Pop().Value
	switch off, is := v.(bool); {
	case is: // of a flag that begins with no-
		target.SetBool(off)
	case v == ctx.Value.Default: // the parser gives it like this
		target.SetBool(v == "true")
	default:
		return fmt.Errorf("this takes no value, but got %q", fmt.Sprint(v))
	}
	return nil
}

// emptyWord reports an empty argument, such as a script passes when its variable is
// not set. Taken as a folder it would mean the current one.
func emptyWord(args []string) bool {
	return slices.ContainsFunc(args, func(a string) bool {
		name, value, given := strings.Cut(a, "=")
		return a == "" || given && value == "" && strings.HasPrefix(name, "--")
	})
}
