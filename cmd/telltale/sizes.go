package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"telltale/aerosol"
	"telltale/fault"
	"telltale/quantity"
)

// readSizes reads a measured size distribution: a CSV table of two columns,
// diameter_um (rising mid-points) and dn_dlog10d_per_cm3; lines that start with #
// are notes.
func readSizes(path string) (aerosol.Room, error) {
	f, err := open(path)
	if err != nil {
		return aerosol.Room{}, err
	}
	defer f.Close()
	mids, density, err := sizeColumns(path, f)
	if err != nil {
		return aerosol.Room{}, err
	}
	m, err := aerosol.NewMeasured(mids, density, 0)
	if err != nil {
		var trouble *fault.Fault
		if errors.As(err, &trouble) {
			trouble.File = path
		}
		return aerosol.Room{}, err
	}
	return aerosol.MeasuredRoom(m), nil
}

func sizeColumns(path string, in io.Reader) (mids []quantity.Diameter, density []float64, err error) {
	r := csv.NewReader(io.LimitReader(in, 1<<20))
	r.Comment, r.TrimLeadingSpace, r.FieldsPerRecord = '#', true, 2
	heading, err := r.Read()
	if err != nil || !strings.EqualFold(heading[0], "diameter_um") || !strings.EqualFold(heading[1], "dn_dlog10d_per_cm3") {
		return nil, nil, &fault.Fault{Code: "E306", File: path, Line: 1, What: "is no table of sizes", Do: "Its heading is diameter_um,dn_dlog10d_per_cm3; one row a size, from small to large."}
	}
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			return mids, density, nil
		}
		line, _ := r.FieldPos(0)
		if err != nil {
			return nil, nil, &fault.Fault{Code: "E306", File: path, What: err.Error(), Do: "Each row has a size and a value.", Err: err}
		}
		var v [2]float64
		for i, cell := range row {
			if v[i], err = strconv.ParseFloat(cell, 64); err != nil || math.IsNaN(v[i]) || math.IsInf(v[i], 0) {
				return nil, nil, &fault.Fault{Code: "E306", File: path, Line: line, What: fmt.Sprintf("%q is not a plain number", cell), Do: "Write it like 0.045."}
			}
		}
		mids, density = append(mids, quantity.Diameter(v[0])), append(density, v[1])
	}
}
