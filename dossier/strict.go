package dossier

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strings"
	"unicode/utf8"

	"telltale/fault"
)

// deepest is the deepest nesting of a JSON file that is read.
const deepest = 64

// parseJSON reads one JSON value and refuses what two readers could read in two
// ways: a key twice (in any case), bytes behind the value, deep nesting, bytes
// that are not UTF-8. Numbers stay as they are written.
func parseJSON(name string, data []byte) (any, error) {
	bad := func(what string, err error) error {
		return &fault.Fault{Code: "E157", File: name, What: what, Do: "It was not made by this program, or was changed.", Err: err}
	}
	if !utf8.Valid(data) {
		return nil, bad("is not UTF-8", nil)
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	v, err := jsonValue(d, 0)
	if err != nil {
		return nil, bad("is not JSON that can be read in one way only: "+err.Error(), err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, bad("has bytes behind its end", nil)
	}
	return v, nil
}

func jsonValue(d *json.Decoder, depth int) (any, error) {
	if depth > deepest {
		return nil, errors.New("nested too deeply")
	}
	t, err := d.Token()
	if err != nil {
		return nil, err
	}
	switch t {
	case json.Delim('{'):
		return jsonObject(d, depth)
	case json.Delim('['):
		list := []any{}
		for d.More() {
			v, err := jsonValue(d, depth+1)
			if err != nil {
				return nil, err
			}
			list = append(list, v)
		}
		_, err := d.Token()
		return list, err
	}
	return t, nil
}

func jsonObject(d *json.Decoder, depth int) (any, error) {
	object, seen := map[string]any{}, map[string]bool{}
	for d.More() {
		t, err := d.Token()
		if err != nil {
			return nil, err
		}
		key, ok := t.(string)
		if !ok || seen[strings.ToLower(key)] {
			return nil, errors.New("the key " + key + " stands twice")
		}
		seen[strings.ToLower(key)] = true
		if object[key], err = jsonValue(d, depth+1); err != nil {
			return nil, err
		}
	}
	_, err := d.Token()
	return object, err
}
