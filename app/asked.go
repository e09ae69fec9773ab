package main

import (
	"context"
	"reflect"

	"strokeledger/internal/desk"
)

// answer is what every bound method gives the page: what work returns, with its
// lists whole, or its error; a panic is one too.
func answer[T any](work func() (T, error)) (out T, err error) {
	defer guard(&err)
	if out, err = work(); err != nil {
		return out, err
	}
	return whole(out), nil
}

// asked answers out of the library under work.
func asked[T any](s *shell, work func(context.Context, *desk.Desk) (T, error)) (T, error) {
	return answer(func() (out T, err error) {
		ctx, d, err := s.open()
		if err != nil {
			return out, err
		}
		return work(ctx, d)
	})
}

// do works on the library under work where the page is told no more than that it is
// done.
func (s *shell) do(work func(context.Context, *desk.Desk) error) (err error) {
	defer guard(&err)
	ctx, d, err := s.open()
	if err != nil {
		return err
	}
	return work(ctx, d)
}

// whole is v with an empty list or map where it has none, however deep: the page
// wants [] and {}, not null. Nothing that v shares with others is written to.
func whole[T any](v T) T {
	out := reflect.ValueOf(&v).Elem()
	if hasLists(out.Type(), nil) {
		fillIn(out)
	}
	return v
}

// hasLists reports whether a value of the type can hold a slice or a map; within
// are the types round it.
func hasLists(t reflect.Type, within []reflect.Type) bool {
	for _, outer := range within {
		if outer == t {
			return false
		}
	}
	switch within = append(within, t); t.Kind() {
	case reflect.Slice, reflect.Map:
		return true
	case reflect.Pointer, reflect.Array:
		return hasLists(t.Elem(), within)
	case reflect.Struct:
		for i := range t.NumField() {
			if shown(t.Field(i)) && hasLists(t.Field(i).Type, within) {
				return true
			}
		}
	}
	return false
}

// shown reports whether JSON shows a field: those of an embedded struct are shown,
// however the struct is called.
func shown(f reflect.StructField) bool {
	return f.IsExported() || f.Anonymous && f.Type.Kind() == reflect.Struct
}

// fillIn fills what v holds in place; v itself is nobody else's.
func fillIn(v reflect.Value) {
	t := v.Type()
	switch t.Kind() {
	case reflect.Slice:
		if v.IsNil() {
			v.Set(reflect.MakeSlice(t, 0, 0))
		} else if hasLists(t.Elem(), nil) {
			own := reflect.MakeSlice(t, v.Len(), v.Len())
			reflect.Copy(own, v)
			for i := range own.Len() {
				fillIn(own.Index(i))
			}
			v.Set(own)
		}
	case reflect.Map:
		if v.IsNil() {
			v.Set(reflect.MakeMap(t))
		}
	case reflect.Pointer:
		if !v.IsNil() && hasLists(t.Elem(), nil) {
			own := reflect.New(t.Elem())
			own.Elem().Set(v.Elem())
			fillIn(own.Elem())
			v.Set(own)
		}
	case reflect.Struct:
		for i := range t.NumField() {
			if shown(t.Field(i)) && hasLists(t.Field(i).Type, nil) {
				fillIn(v.Field(i))
			}
		}
	}
}
