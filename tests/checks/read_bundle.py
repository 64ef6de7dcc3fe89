"""Reads bundles and lines by the format page alone, with nothing but Python's own library.

    read_bundle.py bundle FILE      what a bundle holds, as one line of JSON
    read_bundle.py vectors FILE     what each vector's lines add up to, one line of JSON each
"""
import hashlib
import json
import sys
import zipfile

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"


def sha(text):
    return hashlib.sha256(text.encode() if isinstance(text, str) else text).hexdigest()


def order(reference):
    dev, seq, digits = reference.split(".")
    return dev, int(seq), digits


def short_of(reference):
    return reference[:-56]


def short(digest):
    bits = int(digest, 16) >> (256 - 40)
    return "".join(ALPHABET[bits >> shift & 31] for shift in range(35, -1, -5))


def add_up(lines, form=2):
    acts = {}
    for line in lines:
        act = json.loads(line)
        act["hash"] = sha(line)
        act["ref"] = f"{act['dev']}.{act['seq']}.{act['hash']}"
        acts[act["hash"]] = act
    counting = {}

    def counts(act):
        trail = []
        while act["hash"] not in counting:
            trail.append(act)
            if act["seq"] == 1:
                counting[act["hash"]] = True
                break
            before = acts.get(act["prev"])
            if not before or before["dev"] != act["dev"] or before["seq"] != act["seq"] - 1:
                counting[act["hash"]] = False
                break
            act = before
        answer = counting[act["hash"]]
        for passed in trail:
            counting[passed["hash"]] = answer
        return answer

    counted = [act for act in acts.values() if counts(act)]
    writes, over = {}, set()
    highest = {}
    for act in acts.values():
        highest[act["dev"]] = max(highest.get(act["dev"], 0), act["seq"])
    for act in counted:
        for item in act["sets"]:
            key = item["kind"], item["id"]
            for field, value in item["f"].items():
                writes.setdefault(key, {}).setdefault(field, []).append((act["at"], act["ref"], value))
            for field, refs in item.get("over", {}).items():
                for ref in refs:
                    over.add((key, field, ref))
                    dev, seq, _ = order(ref)
                    highest[dev] = max(highest.get(dev, 0), seq)
    here = {(act["dev"], act["seq"]) for act in acts.values()}
    missing = sum((dev, seq) not in here for dev, top in highest.items() for seq in range(1, top + 1))

    def stands(key, field, ref):
        return (key, field, ref) not in over and (key, field, short_of(ref)) not in over

    told = short_of if form == 1 else str
    whole, records, values, clashes = "", {}, {}, []
    for key in sorted(writes, key=lambda key: (key[0].encode(), key[1].encode())):
        kind, name = key
        records.setdefault(kind, 0)
        text, shown, differing = "", {}, []
        for field in sorted(writes[key], key=str.encode):
            heads = [head for head in writes[key][field] if stands(key, field, head[1])]
            text += "".join(f"{field}\t{told(ref)}\n" for ref in sorted((head[1] for head in heads), key=order))
            if heads:
                shown[field] = max(heads, key=lambda head: (head[0], order(head[1])))[2]
                if any(head[2] != heads[0][2] for head in heads):
                    differing.append(field)
        whole += f"{kind}\t{name}\t{sha(text)}\n"
        gone = shown.get("withdrawn") is True
        if gone:
            alive = [f for f in shown if f != "withdrawn" and any(
                h[2] is not None for h in writes[key][f] if stands(key, f, h[1]))]
            differing = sorted(set(differing) | set(alive))
        clashes += [f"{kind}:{name} {field}" for field in differing]
        fields = {field: value for field, value in shown.items() if value is not None}
        if fields and not gone:
            records[kind] += 1
            values[f"{kind}:{name}"] = fields
    digest = sha(whole)
    return {
        "hashes": [sha(line) for line in lines], "digest": digest, "short": short(digest), "records": records,
        "values": values, "clashes": clashes, "missing": missing,
    }


def read_bundle(path):
    with zipfile.ZipFile(path) as archive:
        told = json.loads(archive.read("bundle.json"))
        if told["format"] != "candlemark-bundle" or told["version"] not in (1, 2):
            sys.exit("not a bundle of form 1 or 2")
        lines = []
        for name in sorted(told["files"]):
            content = archive.read(name)
            if sha(content) != told["files"][name]:
                sys.exit(f"{name} was altered")
            lines += content.decode().splitlines()
        pictures = [name for name in archive.namelist() if name.startswith("photos/")]
        for name in pictures:
            if sha(archive.read(name)) != name[len("photos/"):-len(".jpg")]:
                sys.exit(f"{name} was altered")
        people = [name for name in archive.namelist() if name.startswith("people/")]
        for name in people:
            person = json.loads(archive.read(name))
            if sha(bytes.fromhex(person["salt"]) + person["content"].encode()) != name[len("people/"):-len(".json")]:
                sys.exit(f"{name} was altered")
    state = add_up(lines)
    if told["whole"] and told.get("digest") not in (None, add_up(lines, told["version"])["digest"]):
        sys.exit("the lines do not add up to the digest")
    return {
        "acts": len(lines), "devices": len(told["devices"]), "photos": len(pictures), "people": len(people),
        "short": state["short"], "records": state["records"], "clashes": len(state["clashes"]),
    }


if __name__ == "__main__":
    what, path = sys.argv[1:]
    if what == "bundle":
        print(json.dumps(read_bundle(path)))
    else:
        with open(path, encoding="utf-8") as file:
            for vector in json.load(file):
                print(json.dumps(add_up(vector["lines"])))
