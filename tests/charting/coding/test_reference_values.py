"""The codes of the reference of the trade: title and whether each can be billed (tabular list of April
2026, checked).
"""

import gzip

import pytest

from charting.coding import table

# Code, words of its title, billable.
WORKED = """
M79.1|Myalgia|no
M79.10|Myalgia, unspecified site|yes
M79.11|Myalgia of mastication muscle|yes
M79.12|Myalgia of auxiliary muscles, head and neck|yes
M79.18|Myalgia, other site|yes
M79.7|Fibromyalgia|yes
M54.2|Cervicalgia|yes
M54.11|Radiculopathy, occipito-atlanto-axial region|yes
M54.12|Radiculopathy, cervical region|yes
M54.13|Radiculopathy, cervicothoracic region|yes
M54.14|Radiculopathy, thoracic region|yes
M54.15|Radiculopathy, thoracolumbar region|yes
M54.16|Radiculopathy, lumbar region|yes
M54.17|Radiculopathy, lumbosacral region|yes
M54.18|Radiculopathy, sacral and sacrococcygeal region|yes
M54.30|Sciatica, unspecified side|yes
M54.31|Sciatica, right side|yes
M54.32|Sciatica, left side|yes
M54.40|Lumbago with sciatica, unspecified side|yes
M54.42|Lumbago with sciatica, left side|yes
M54.5|Low back pain|no
M54.50|Low back pain, unspecified|yes
M54.51|Vertebrogenic low back pain|yes
M54.59|Other low back pain|yes
M54.6|Pain in thoracic spine|yes
M54.81|Occipital neuralgia|yes
M53.0|Cervicocranial syndrome|yes
M53.1|Cervicobrachial syndrome|yes
M50.12|Cervical disc disorder with radiculopathy, mid-cervical region|no
M50.121|Cervical disc disorder at C4-C5 level with radiculopathy|yes
M50.122|Cervical disc disorder at C5-C6 level with radiculopathy|yes
M50.123|Cervical disc disorder at C6-C7 level with radiculopathy|yes
M47.22|Other spondylosis with radiculopathy, cervical region|yes
M47.12|Other spondylosis with myelopathy, cervical region|yes
M47.812|Spondylosis without myelopathy or radiculopathy, cervical region|yes
G54.0|Brachial plexus disorders|yes
G54.2|Cervical root disorders, not elsewhere classified|yes
G56.00|Carpal tunnel syndrome, unspecified upper limb|yes
G56.01|Carpal tunnel syndrome, right upper limb|yes
G56.02|Carpal tunnel syndrome, left upper limb|yes
G44.209|Tension-type headache, unspecified, not intractable|yes
G44.219|Episodic tension-type headache, not intractable|yes
G44.229|Chronic tension-type headache, not intractable|yes
G44.86|Cervicogenic headache|yes
R51|Headache|no
R51.9|Headache, unspecified|yes
M25.511|Pain in right shoulder|yes
M25.512|Pain in left shoulder|yes
M25.519|Pain in unspecified shoulder|yes
M79.601|Pain in right arm|yes
M79.602|Pain in left arm|yes
M79.621|Pain in right upper arm|yes
M62.830|Muscle spasm of back|yes
M62.838|Other muscle spasm|yes
M26.621|Arthralgia of right temporomandibular joint|yes
M26.622|Arthralgia of left temporomandibular joint|yes
M26.623|Arthralgia of bilateral temporomandibular joint|yes
M26.629|Arthralgia of temporomandibular joint, unspecified side|yes
M77.11|Lateral epicondylitis, right elbow|yes
M77.12|Lateral epicondylitis, left elbow|yes
S13.4XXA|Sprain of ligaments of cervical spine, initial encounter|yes
G89.29|Other chronic pain|yes
G89.4|Chronic pain syndrome|yes
R20.2|Paresthesia of skin|yes
J95.811|Postprocedural pneumothorax|yes
J93.9|Pneumothorax, unspecified|yes
Z79.01|Long term (current) use of anticoagulants|yes
Z33.1|Pregnant state, incidental|yes
Z95.0|Presence of cardiac pacemaker|yes
Z53.20|Procedure and treatment not carried out because of patient's decision for unspecified reasons|yes
G83.4|Cauda equina syndrome|yes
I77.74|Dissection of vertebral artery|yes
I77.71|Dissection of carotid artery|yes
C34.10|Malignant neoplasm of upper lobe, unspecified bronchus or lung|yes
"""


def test_every_code_of_the_reference_has_its_title_and_can_be_billed_or_not():
    known = table.load()
    for row in WORKED.strip().splitlines():
        code, title, billable = row.split("|")
        entry = known.entry(code)
        assert entry and (entry.title, entry.billable) == (title, billable == "yes"), code


def test_the_release_is_said():
    assert table.load().release == "April 2026"


def test_a_code_is_read_as_people_type_it():
    known = table.load()
    for typed in ("M79.18", "m7918", " M79.18 ", "M 79.18"):
        entry = known.entry(typed)
        assert entry and entry.code == "M79.18"
    for wrong in ("", "M79.19", "S13.4A", "S13.4XXZ", "M79.180", "79.18", "M79.1.8.8", "13", "M70-M79"):
        assert known.entry(wrong) is None, wrong


@pytest.mark.parametrize(
    "text", ["", "release\tApril 2026\n", "d1\tM79\tMyalgia\t\n", "release\tX\nnonsense\n"]
)
def test_a_table_that_cannot_be_used_says_so(text):
    with pytest.raises(table.TableError, match="icd10cm.txt.gz"):
        table.read(text.splitlines())


def test_a_file_that_is_broken_names_the_command(monkeypatch, tmp_path):
    table_bytes, broken = table.FILE.read_bytes(), tmp_path / "icd10cm.txt.gz"
    monkeypatch.setattr(table, "FILE", broken)
    table.load.cache_clear()
    try:
        torn = table_bytes[:5000]
        garbled = table_bytes[:5000] + bytes(5000) + table_bytes[10000:]
        for content in (None, b"", b"no gzip", torn, garbled, gzip.compress("\xff".encode("latin-1"))):
            if content is not None:
                broken.write_bytes(content)
            with pytest.raises(table.TableError, match="icd10cm.txt.gz.*make codes"):
                table.load()
    finally:
        table.load.cache_clear()
