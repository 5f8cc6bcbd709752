"""Readings of an invented instrument, as CGATS text and as CxF (ISO 17972)."""

CGATS = """CGATS.17
ORIGINATOR "an invented instrument"
# a comment
MEASUREMENT_GEOMETRY "45/0"
WEIGHTING_FUNCTION "ILLUMINANT,D50"
WEIGHTING_FUNCTION "OBSERVER,2 degree"
NUMBER_OF_FIELDS 5
BEGIN_DATA_FORMAT
SAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B
END_DATA_FORMAT
NUMBER_OF_SETS 2
BEGIN_DATA
A1 "safety red" 41.50 58.80 41.90
A2 "safety yellow" 80.90 2.10 83.00
END_DATA
"""

CXF = """<?xml version="1.0" encoding="UTF-8"?>
<cc:CxF xmlns:cc="http://colorexchangeformat.com/CxF3-core">
  <cc:Resources><cc:ObjectCollection>
    <cc:Object ObjectType="Target" Name="safety red" Id="A1"><cc:ColorValues>
      <cc:ColorCIELab ColorSpecification="CS1"><cc:L>41.5</cc:L><cc:A>58.8</cc:A><cc:B>41.9</cc:B>
      </cc:ColorCIELab></cc:ColorValues></cc:Object>
  </cc:ObjectCollection></cc:Resources>
</cc:CxF>
"""
