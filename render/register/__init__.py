"""The register on disk: ``register_folder`` reads and writes its folder, ``signing`` applies a
signed pack, a survey or a removal, ``round_files`` writes what is due, ``audit`` the record
for an audit.
"""
