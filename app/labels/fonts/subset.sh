#!/bin/sh
# Remakes the two font files beside it from DejaVu Sans Condensed (Debian package fonts-dejavu-extra),
# with fonttools (PyPI): Latin, Latin-1, Latin Extended-A and the signs that labels use. No hinting and no
# layout tables: the outlines are drawn by us, at sizes where a printer's dots decide.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
from=${1:-/usr/share/fonts/truetype/dejavu}
signs=2010-2015,2018-201E,2020-2022,2026,2030,2032,2033,2039,203A,20AC,2116,2122,2190-2193,2212,2248,2260,2264,2265,25A1,2640,2642,26A4,26A5
for weight in "" -Bold; do
    python3 -m fontTools.subset "$from/DejaVuSansCondensed$weight.ttf" \
        --unicodes="0020-007E,00A0-017F,0218-021B,$signs" \
        --layout-features= --no-hinting --desubroutinize --notdef-outline --name-IDs= \
        --drop-tables+=GPOS,GSUB,GDEF,kern,post,OS/2,name,gasp,FFTM,DSIG,meta,MATH \
        --output-file="$here/condensed$(echo "$weight" | tr B b).ttf"
done
