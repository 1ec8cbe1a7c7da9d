package demo

// The marks files of the donated respirators. The texts are invented, the forms
// of classes, standards and numbers are those in use.

const foldPaper = `facepiece: "COBBLEMERE Fold CF2  EN 149:2001+A1:2009  FFP2 NR  CE 8871"
box: "Cobblemere Fold CF2, 20 pieces. EN 149:2001+A1:2009 FFP2 NR. CE 8871. Cobblemere Works. Use by 2030-11. Store at -20 to +38 C, below 80 % relative humidity."
leaflet: "Cobblemere Fold CF2. Filtering half mask against particles, Regulation (EU) 2016/425, category III. EU type examination (module B) by body 8872, certificate 8872-PPE-25-0417. Supervised production (module D): body 8871."
attachment: head_straps
valve: false
made: 2025-11-04
bought: 2026-02-20
registers:
  - {register: "EU notified bodies", number: "8871", state: not_looked_up}
`

const wrenPaper = `facepiece: "Pelquist Wren  FFP2"
pouch: "Pelquist Wren folding mask. FFP2. Standard: GB 2626-2019. 10 pieces."
certificate: "Certificate of Compliance No. LF-20-3316. Product: folding mask FFP2. Issued by Larkfen Product Services."
listing: "FFP2 mask, pack of 10, filters at least 94 %"
attachment: head_straps
valve: false
made: 2024-03-12
registers:
  - {register: "EU notified bodies", number: "LF-20-3316", state: no_such_number, date: 2026-05-02}
`

const plainPaper = `facepiece: "YARNFOLD Plain YP-1  EN 149:2001+A1:2009  FFP2 NR D  CE 8865"
box: "Yarnfold Plain YP-1, 50 pieces. EN 149:2001+A1:2009 FFP2 NR D. CE 8865. Yarnfold Textile Mill. Lot 0925-14. Use by 2029-09."
leaflet: "Yarnfold Plain YP-1. Regulation (EU) 2016/425, category III. EU type examination (module B) and checks at random intervals (module C2): body 8865. Certificate 8865-0092-2024."
certificate: "EU type-examination certificate 8865-0092-2024. Module B. Holder: Yarnfold Textile Mill. Product: filtering half mask YP-1, FFP2 NR D, EN 149:2001+A1:2009. Issued 2024-06-03, valid to 2029-06-02."
attachment: head_straps
valve: false
made: 2025-09-18
registers:
  - {register: "EU notified bodies", number: "8865", state: matched, holder: "Yarnfold Textile Mill", date: 2026-05-02}
`

const loopPaper = `facepiece: "BRINDLEWICK  GB 2626-2019 KN95"
pouch: "Brindlewick Loop, folding mask with ear loops. GB 2626-2019 KN95. Brindlewick Household Goods. Made 2025-08-21. Shelf life 3 years. 5 pieces."
attachment: ear_loops
valve: false
made: 2025-08-21
`

const domePaper = `facepiece: "HALMERITH Dome  EN 149:2001+A1:2009  FFP3 R D  CE 8859"
box: "Halmerith Dome, 5 pieces. EN 149:2001+A1:2009 FFP3 R D. CE 8859. Halmerith and Daughters. Use by 2031-01."
attachment: head_straps
valve: true
made: 2026-01-15
`
