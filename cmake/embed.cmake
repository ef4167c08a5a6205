# qn_embed(TARGET SYMBOL FILE): the bytes of FILE as `extern const unsigned char SYMBOL[]` with
# `SYMBOL_end`, read-only, rebuilt when FILE changes.
function(qn_embed target symbol file)
  set(stub ${CMAKE_CURRENT_BINARY_DIR}/embed_${symbol}.S)
  file(CONFIGURE OUTPUT ${stub} @ONLY CONTENT [[
  .section .rodata
  .global @symbol@
  .global @symbol@_end
  .balign 16
@symbol@:
  .incbin "@file@"
@symbol@_end:
  .byte 0
  .section .note.GNU-stack,"",@progbits
]])
  set_source_files_properties(${stub} PROPERTIES OBJECT_DEPENDS ${file} LANGUAGE ASM)
  target_sources(${target} PRIVATE ${stub})
endfunction()
