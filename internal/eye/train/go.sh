#!/usr/bin/env bash
# go.sh SEED SECONDS [train.py's flags]: makes scenes and trains at once. In this
# folder: renders (a static build of ./renders for this machine), swatches/ if wanted.
# OUT: where checkpoints and the log go. MAKERS: flat, renders, or flat,renders.
set -u
seed=$1 secs=$2
shift 2
cd "$(dirname "$0")"
export PYTHONUNBUFFERED=1 OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1
OUT=${OUT:-out} MAKERS=${MAKERS:-flat,renders} SHARE=${SHARE:-.5,.5}
mkdir -p "$OUT"
cores=$(env -u OMP_NUM_THREADS nproc) gpus=$(python3 -c 'import torch; print(max(1, torch.cuda.device_count()))')
dirs=
sw=()
[ -d swatches ] && sw=(--swatches swatches)
spare=$((cores - 2 * gpus))
for maker in ${MAKERS//,/ }; do
	d=/dev/shm/$maker
	mkdir -p "$d"
	dirs=${dirs:+$dirs,}$d
	if [ "$maker" = flat ]; then
		[ "$MAKERS" = flat ] && n=$spare || n=$((spare * 9 / 20))
		for i in $(seq 0 $((n - 1))); do
			python3 compose.py --out "$d" --seed "$seed" --first "$i" --step "$n" "${sw[@]}" >/dev/null 2>>"$OUT/flat.err" &
		done
	else
		[ "$MAKERS" = renders ] && n=$spare || n=$((spare * 11 / 20))
		for i in $(seq 0 $((n - 1))); do
			GOMAXPROCS=1 ./renders/renders "$d" $((seed * 10000000 + i)) 1000000 "$n" ${sw[@]:+swatches} >/dev/null 2>>"$OUT/renders.err" &
		done
	fi
done
train() {
	python3 -m torch.distributed.run --standalone --nproc_per_node "$gpus" train.py --scenes "$dirs" --share "$SHARE" --out "$OUT" "$@" 2>&1 | tee -a "$OUT/log"
	return "${PIPESTATUS[0]}"
}
start=$SECONDS
train --seconds "$secs" --compile "$@" || train --seconds $((secs - SECONDS + start)) "$@"
kill $(jobs -p) 2>/dev/null
rm -rf ${dirs//,/ }
