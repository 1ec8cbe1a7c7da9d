package reference

import (
	"errors"
	"fmt"
	"reflect"
	"regexp"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"telltale/fault"
)

// decodeStrict reads one YAML document into out and refuses unknown keys, keys
// given twice and values of the wrong kind; each fault names file, line and the
// nearest known key.
func decodeStrict(file string, data []byte, out any) error {
	var doc yaml.Node
	if err := yaml.Unmarshal(data, &doc); err != nil {
		return yamlFaults(file, err)
	}
	if len(doc.Content) == 0 {
		return fault.List{{Code: "E302", What: "the file is empty", File: file}}
	}
	var faults fault.List
	unknownKeys(file, doc.Content[0], reflect.TypeOf(out).Elem(), &faults)
	if len(faults) > 0 {
		return faults
	}
	if err := doc.Content[0].Decode(out); err != nil {
		return yamlFaults(file, err)
	}
	return nil
}

// unknownKeys walks the document beside the Go type and notes each key the type
// does not have.
func unknownKeys(file string, n *yaml.Node, t reflect.Type, faults *fault.List) {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if n.Kind == yaml.AliasNode { // a row named once with &name and used again with *name
		n = n.Alias
	}
	switch {
	case n.Kind == yaml.SequenceNode && t.Kind() == reflect.Slice:
		for _, item := range n.Content {
			unknownKeys(file, item, t.Elem(), faults)
		}
	case n.Kind == yaml.MappingNode && t.Kind() == reflect.Map:
		for i := 1; i < len(n.Content); i += 2 {
			unknownKeys(file, n.Content[i], t.Elem(), faults)
		}
	case n.Kind == yaml.MappingNode && t.Kind() == reflect.Struct:
		fields, names := yamlFields(t)
		for i := 0; i+1 < len(n.Content); i += 2 {
			key := n.Content[i]
			if field, ok := fields[key.Value]; ok {
				unknownKeys(file, n.Content[i+1], field, faults)
				continue
			}
			*faults = append(*faults, &fault.Fault{Code: "E301", What: fmt.Sprintf("unknown key %q", key.Value),
				File: file, Line: key.Line, Col: key.Column, Do: fault.DidYouMean(key.Value, names)})
		}
	}
}

// yamlFields gives the YAML keys of a struct, those of inlined parts included,
// and their names in order.
func yamlFields(t reflect.Type) (map[string]reflect.Type, []string) {
	fields, names := map[string]reflect.Type{}, []string(nil)
	for i := range t.NumField() {
		f := t.Field(i)
		name, rest, _ := strings.Cut(f.Tag.Get("yaml"), ",")
		if rest == "inline" {
			inner, more := yamlFields(f.Type)
			for k, v := range inner {
				fields[k] = v
			}
			names = append(names, more...)
			continue
		}
		if name != "" && name != "-" {
			fields[name] = f.Type
			names = append(names, name)
		}
	}
	return fields, names
}

var yamlLine = regexp.MustCompile(`^(?:yaml: )?line (\d+): (.*)$`)

// yamlFaults turns the YAML reader's words into faults with file and line.
func yamlFaults(file string, err error) error {
	texts := []string{strings.TrimPrefix(err.Error(), "yaml: ")}
	var wrong *yaml.TypeError
	if errors.As(err, &wrong) {
		texts = wrong.Errors
	}
	var faults fault.List
	for _, text := range texts {
		f := &fault.Fault{Code: "E302", What: text, File: file, Err: err}
		if m := yamlLine.FindStringSubmatch(text); m != nil {
			f.Line, _ = strconv.Atoi(m[1])
			f.What = m[2]
		}
		faults = append(faults, f)
	}
	return faults
}
